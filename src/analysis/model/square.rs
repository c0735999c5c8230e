//! A small square matrix and its generalised inverse.
//!
//! Knows numbers alone. The room of a sweep is lent, so that nothing is allocated for a redraw.

/// A small square matrix, row by row: plain loops, because it is made anew for every redraw.
#[derive(Debug, Clone)]
pub(super) struct Square {
    size: usize,
    pub(super) cells: Vec<f64>,
}

/// Room for a sweep.
pub(super) struct Sweep {
    along: Vec<f64>,
    used: Vec<bool>,
}

impl Sweep {
    /// For a matrix of `size` rows.
    pub(super) fn of(size: usize) -> Sweep {
        Sweep { along: vec![0.0; size], used: vec![false; size] }
    }
}

impl Square {
    pub(super) fn zero(size: usize) -> Square {
        Square { size, cells: vec![0.0; size * size] }
    }

    pub(super) fn at(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.cells[row * self.size + column]
    }

    pub(super) fn row(&self, row: usize) -> &[f64] {
        part(&self.cells, row, self.size)
    }

    fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.cells[row * self.size..(row + 1) * self.size]
    }

    /// Makes a symmetric, non-negative matrix its own generalised inverse; returns its rank.
    ///
    /// Pivots at or below `least` are passed over; their rows and columns become 0.
    /// # Source
    /// The sweep operator: Goodnight (1979) The American Statistician 33:149 (from memory).
    pub(super) fn sweep(&mut self, least: f64, room: &mut Sweep) -> usize {
        let n = self.size;
        let Sweep { along, used } = room;
        used.fill(false);
        let mut rank = 0;
        for _ in 0..n {
            // The largest pivot left, so that rounding in a small one spoils nothing.
            let free = (0..n).filter(|&k| !used[k]);
            let pivot = free.max_by(|&j, &k| self.row(j)[j].total_cmp(&self.row(k)[k]));
            let Some(k) = pivot.filter(|&k| self.row(k)[k] > least) else { break };
            used[k] = true;
            rank += 1;
            let pivot = self.row(k)[k];
            for (step, x) in along.iter_mut().zip(self.row(k)) {
                *step = x / pivot;
            }
            for j in (0..n).filter(|&j| j != k) {
                let row = self.row_mut(j);
                let factor = row[k];
                for (x, step) in row.iter_mut().zip(&*along) {
                    *x -= factor * step;
                }
                row[k] = -factor / pivot;
            }
            self.row_mut(k).copy_from_slice(along);
            *self.at(k, k) = 1.0 / pivot;
        }
        if rank < n {
            for j in 0..n {
                for i in 0..n {
                    if !(used[i] && used[j]) {
                        *self.at(j, i) = 0.0;
                    }
                }
            }
        }
        rank
    }
}

/// Part number `index` of a list cut into parts of `size`.
pub(super) fn part<T>(list: &[T], index: usize, size: usize) -> &[T] {
    &list[index * size..(index + 1) * size]
}
