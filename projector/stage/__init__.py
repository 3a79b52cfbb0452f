"""What is lit on the table: session, commands, picture and window."""
