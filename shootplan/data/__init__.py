"""Shipped food tables; see SOURCE.md."""
