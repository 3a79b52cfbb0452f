"""What to print and keep beside the table: the whole job on a few pages."""
