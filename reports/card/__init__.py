"""The paper card: a tree's strategy unrolled for a technician without a device, as a flowchart and a checklist."""
