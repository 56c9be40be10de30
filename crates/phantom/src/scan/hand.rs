//! A hand, invented: what must not be taken for a foot.

use crate::Mesh;
use crate::bones::grid::Grid;
use crate::bones::nets;
use crate::bones::solid::{Frame, P, block, horn, join, p};
use std::sync::OnceLock;

/// Palm down, fingers forward, about 185 mm long; the same one every time.
pub(super) fn mesh() -> Mesh {
    static HAND: OnceLock<Mesh> = OnceLock::new();
    HAND.get_or_init(sculpted).clone()
}

fn sculpted() -> Mesh {
    let palm = Frame::new(p(48.0, 16.0, 0.0), 0.0, 0.0, 0.0);
    // Root and tip of each finger, and both radii.
    let fingers = [
        (p(30.0, 14.0, -36.0), p(84.0, 10.0, -66.0), 13.0, 9.0),
        (p(88.0, 17.0, -31.0), p(162.0, 12.0, -40.0), 9.6, 7.6),
        (p(92.0, 17.5, -10.0), p(174.0, 12.0, -12.0), 9.8, 7.8),
        (p(90.0, 17.0, 11.0), p(164.0, 12.0, 15.0), 9.4, 7.4),
        (p(84.0, 16.0, 30.0), p(142.0, 11.0, 40.0), 8.4, 6.6),
    ];
    let field = |q: P| {
        let mut d = block(q, &palm, p(50.0, 14.0, 42.0), 12.0);
        d = join(
            d,
            horn(q, p(-12.0, 20.0, 0.0), p(20.0, 17.0, 0.0), 21.0, 18.0),
            20.0,
        );
        for (root, tip, from, to) in fingers {
            d = join(d, horn(q, root, tip, from, to), 6.0);
        }
        d
    };
    let grid = Grid::sample(p(-40.0, -8.0, -86.0), p(192.0, 48.0, 58.0), 1.2, field);
    nets::surface(&grid, 1000)
}
