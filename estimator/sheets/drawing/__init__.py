"""What every figure is drawn with: the look, outlines of boards, the tape, the calendar."""
