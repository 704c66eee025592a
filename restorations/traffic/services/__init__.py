"""What is written, one transaction each."""
