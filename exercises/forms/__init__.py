"""What people type, checked, with messages in their words."""
