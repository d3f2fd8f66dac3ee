"""Pictures of the finished object: a z-buffer of our own, without graphics card or window."""
