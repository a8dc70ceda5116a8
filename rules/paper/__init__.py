"""What is printed or tabled: pages, cards, the event sheet, tables in and out."""
