"""The larder stage; see DEVELOPERS.md."""
