"""A tree drawn from the machine that runs it: as an outline, as Mermaid text, as SVG and as a page."""
