//! Examination findings and scores, side by side, with nothing assumed
