"""The front door: command line and writers of findings."""
