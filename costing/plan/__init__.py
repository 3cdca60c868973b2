"""When everything can be made: batches of steps, placed among shared ovens, cold rooms, molds and hands."""
