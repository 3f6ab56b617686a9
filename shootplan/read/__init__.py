"""The read stage; see DEVELOPERS.md."""
