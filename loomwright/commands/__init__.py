"""The commands, one a file. Each module has a `command`; what the command needs it imports when it runs."""
