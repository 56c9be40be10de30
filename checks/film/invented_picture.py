"""The invented picture that the fixture writers of this folder give to an outside encoder: a slope with a
bright bar, a flat patch that gives runs, and grain from a small generator. The Rust tests rebuild the same
numbers (`crates/film/tests/common/invented.rs`)."""

import numpy as np


def picture(width, height, bits):
    out = np.zeros((height, width), np.uint32)
    state = 1
    for y in range(height):
        for x in range(width):
            state = (state * 1103515245 + 12345) % 2**31
            value = 200 + 7 * x + 3 * y + (1500 if 20 <= y < 40 else 0) + (state >> 16) % 37
            if 30 <= x < 80 and y >= 45:
                value = 777
            out[y, x] = value << 4 if bits == 16 else value >> max(12 - bits, 0)
    return out.astype(np.uint8 if bits <= 8 else np.uint16)
