"""What a decided job calls for, as ids and numbers: the cautions it owes, what a visit packs."""
