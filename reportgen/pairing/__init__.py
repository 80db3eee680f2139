"""What a pairing is: its setting, both drivers at the seat, the designed network and every figure of it."""
