"""The record: one customer's bicycle, whole."""
