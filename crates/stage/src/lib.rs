//! Findings and readings to stages, reasons and what is missing
