"""The plan stage; see DEVELOPERS.md."""
