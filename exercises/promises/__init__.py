"""What the database itself holds, beyond the constraints that stand with the models: README.md."""
