"""The commands, by what they are about; ``notepipe.cli`` has them all in their order."""
