"""Drawings of our own for a sheet, each as SVG and in words: ranking, its way there, readings, where the fault sits."""
