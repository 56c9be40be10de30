//! Points, lines, fits and transforms without a clinical word
