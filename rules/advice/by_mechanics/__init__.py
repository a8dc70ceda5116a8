"""Where the launch of this car can judge, it chooses among all turns that the gates allow."""
