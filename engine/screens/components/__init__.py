"""What pages are put together from. A component owns its keys of the session."""
