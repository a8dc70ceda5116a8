"""What happened, in order, and where everything stands: events, fold, a change and its life."""
