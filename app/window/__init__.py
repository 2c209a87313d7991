"""The window: Qt, and nothing but Qt."""
