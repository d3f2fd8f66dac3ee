"""Clasps and other metalwork of a book: forms, fit, strength, pins."""
