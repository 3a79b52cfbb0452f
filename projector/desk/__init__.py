"""What the worker sees on her own screen."""
