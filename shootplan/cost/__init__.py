"""The cost stage; see DEVELOPERS.md."""
