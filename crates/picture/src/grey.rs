//! Brightness alone, for whatever measures.

/// A grey picture, rows from the top, each from the left.
///
/// # Units
/// 0 black to 255 white; positions in pixels with whole numbers at pixel centres.
#[derive(Debug, Clone, PartialEq)]
pub struct Grey {
    width: usize,
    height: usize,
    values: Vec<f32>,
}

impl Grey {
    /// `None` where `values` does not hold `width` times `height` of them, or the picture is empty.
    pub fn new(width: usize, height: usize, values: Vec<f32>) -> Option<Self> {
        (width > 0 && height > 0 && width.checked_mul(height) == Some(values.len())).then_some(
            Self {
                width,
                height,
                values,
            },
        )
    }

    /// From bytes, 0 black to 255 white; `None` as for [`Grey::new`].
    pub fn of_bytes(width: usize, height: usize, bytes: &[u8]) -> Option<Self> {
        Self::new(width, height, bytes.iter().map(|b| f32::from(*b)).collect())
    }

    pub fn width(&self) -> usize {
        self.width
    }

    pub fn height(&self) -> usize {
        self.height
    }

    pub fn values(&self) -> &[f32] {
        &self.values
    }

    /// `None` outside the picture.
    pub fn at(&self, x: usize, y: usize) -> Option<f32> {
        (x < self.width).then(|| self.values.get(y * self.width + x).copied())?
    }

    pub fn row(&self, y: usize) -> &[f32] {
        let from = y.saturating_mul(self.width);
        self.values
            .get(from..from.saturating_add(self.width))
            .unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_holds_a_value_for_each_pixel_or_is_none() {
        assert!(Grey::new(2, 2, vec![0.0; 3]).is_none());
        assert!(Grey::new(0, 2, vec![]).is_none());
        assert!(Grey::new(usize::MAX, 2, vec![0.0; 2]).is_none());
        let grey = Grey::of_bytes(2, 2, &[1, 2, 3, 4]).unwrap();
        assert_eq!(grey.at(1, 0), Some(2.0));
        assert_eq!(grey.at(2, 0), None);
        assert_eq!(grey.at(0, 2), None);
        assert_eq!(grey.row(1), [3.0, 4.0]);
        assert!(grey.row(2).is_empty());
    }
}
