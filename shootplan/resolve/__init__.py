"""The resolve stage; see DEVELOPERS.md."""
