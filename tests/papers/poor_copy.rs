//! A page as a poor copy shows it: grey, at 150 dots to the inch, turned and blurred, with no tool's help.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A grey picture.
pub struct Copy {
    width: usize,
    height: usize,
    dots: Vec<u8>,
}

impl Copy {
    /// A page of a file at 150 dots to the inch.
    pub fn of(file: &Path, page: usize) -> Copy {
        let number = page.to_string();
        let done = Command::new("pdftoppm")
            .args(["-r", "150", "-gray", "-singlefile", "-f", &number])
            .arg(file)
            .output()
            .unwrap();
        assert!(done.status.success());
        Copy::read(&done.stdout)
    }

    /// Reads a portable graymap, whose head is three numbers behind its mark.
    fn read(bytes: &[u8]) -> Copy {
        let mut parts = bytes.splitn(4, u8::is_ascii_whitespace);
        let mut word = || String::from_utf8(parts.next().unwrap().to_vec()).unwrap();
        assert_eq!(word(), "P5");
        let (width, height) = (word().parse().unwrap(), word().parse().unwrap());
        let dots = parts
            .next()
            .unwrap()
            .strip_prefix(b"255\n")
            .unwrap()
            .to_vec();
        assert_eq!(dots.len(), width * height);
        Copy {
            width,
            height,
            dots,
        }
    }

    fn dot(&self, x: f64, y: f64) -> f64 {
        let (left, top) = (x.floor(), y.floor());
        let one = |x: f64, y: f64| {
            let is_inside = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
            match is_inside {
                true => f64::from(*self.dots.get(y as usize * self.width + x as usize).unwrap()),
                false => 255.0,
            }
        };
        let (right, low) = (x - left, y - top);
        let upper = one(left, top) * (1.0 - right) + one(left + 1.0, top) * right;
        let lower = one(left, top + 1.0) * (1.0 - right) + one(left + 1.0, top + 1.0) * right;
        upper * (1.0 - low) + lower * low
    }

    /// The part of it that a telephone is held at, in shares of the page: from where, and how much.
    pub fn part(&self, from: (f64, f64), share: (f64, f64)) -> Copy {
        let dots = |share: f64, whole: usize| (share * whole as f64) as usize;
        let (left, top) = (dots(from.0, self.width), dots(from.1, self.height));
        let (width, height) = (dots(share.0, self.width), dots(share.1, self.height));
        let rows = self.dots.chunks(self.width).skip(top).take(height);
        let dots = rows
            .flat_map(|row| row.iter().skip(left).take(width))
            .copied();
        Copy {
            width,
            height,
            dots: dots.collect(),
        }
    }

    /// The picture turned about its middle and moved by a part of a dot.
    pub fn turned(&self, degrees: f64, shift: f64) -> Copy {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (middle_x, middle_y) = (self.width as f64 / 2.0, self.height as f64 / 2.0);
        let mut dots = Vec::with_capacity(self.dots.len());
        for y in 0..self.height {
            for x in 0..self.width {
                let (dx, dy) = (x as f64 - middle_x, y as f64 - middle_y);
                let from = (
                    middle_x + dx * cos + dy * sin + shift,
                    middle_y - dx * sin + dy * cos + shift / 2.0,
                );
                dots.push(self.dot(from.0, from.1).round() as u8);
            }
        }
        Copy { dots, ..*self }
    }

    /// The picture under a bell of this width, in dots.
    pub fn blurred(&self, sigma: f64) -> Copy {
        let reach = (sigma * 3.0).ceil() as i64;
        let weights: Vec<f64> = (-reach..=reach)
            .map(|at| (-(at * at) as f64 / (2.0 * sigma * sigma)).exp())
            .collect();
        let whole: f64 = weights.iter().sum();
        let pass = |dots: &[u8], step: usize, length: usize| -> Vec<u8> {
            let blur = |place: usize| {
                let at = (place / step % length) as i64;
                let sum: f64 = weights
                    .iter()
                    .zip(-reach..=reach)
                    .map(|(weight, away)| {
                        let near = (at + away).clamp(0, length as i64 - 1) - at;
                        let from = place as i64 + near * step as i64;
                        weight * f64::from(*dots.get(from as usize).unwrap())
                    })
                    .sum();
                (sum / whole).round() as u8
            };
            (0..dots.len()).map(blur).collect()
        };
        let across = pass(&self.dots, 1, self.width);
        Copy {
            dots: pass(&across, self.width, self.height),
            ..*self
        }
    }

    /// What a reader of codes finds in it.
    pub fn codes(&self, name: &str) -> Vec<String> {
        let path: PathBuf = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.pgm"));
        let mut bytes = format!("P5\n{} {}\n255\n", self.width, self.height).into_bytes();
        bytes.extend(&self.dots);
        std::fs::write(&path, bytes).unwrap();
        let read = Command::new("zbarimg")
            .args(["-q", "--raw"])
            .arg(&path)
            .output()
            .unwrap();
        let read = String::from_utf8(read.stdout).unwrap();
        read.lines().map(str::to_owned).collect()
    }
}
