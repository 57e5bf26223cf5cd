"""Printed documents and drawings, returned as text or bytes; nothing here opens a file."""
