"""The commands, one small file each; whatever is heavy is imported when a command runs."""
