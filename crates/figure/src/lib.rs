//! SVG drawings used alike on page and paper
