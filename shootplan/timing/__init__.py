"""The timing stage; see DEVELOPERS.md."""
