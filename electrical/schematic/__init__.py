"""The single-line diagram: arranged from the circuits, laid out in sheets, drawn as SVG."""
