"""What is believed of this car: a cloud of cars, reweighted and moved by every pass of its log."""
