"""What a decided job calls for, as ids and numbers: order of work, doses, cautions, work at home, packing, plan."""
