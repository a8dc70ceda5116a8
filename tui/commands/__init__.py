"""The commands beside the screens; what each uses is imported when it is called."""
