package filmfit

// What is done to rows of derivatives: by vectors where the machine has them, plainly
// otherwise. The rows are as long as kernel.wide says.

// add adds rows to acc, which is one of them.
func add(acc, rows []float64) {
	if fast && len(rows) > 0 {
		addFast(&acc[0], &rows[0], len(acc), len(rows)/len(acc))
		return
	}
	for ; len(rows) > 0; rows = rows[len(acc):] {
		for j, v := range rows[:len(acc)] {
			acc[j] += v
		}
	}
}

// join sets row to r (row + t acc + u a + v b).
func join(row, acc, a, b []float64, r, t, u, v float64) {
	if fast {
		joinFast(&row[0], &acc[0], &a[0], &b[0], len(row), r, t, u, v)
		return
	}
	acc, a, b = acc[:len(row)], a[:len(row)], b[:len(row)]
	for j, x := range row {
		row[j] = r * (x + t*acc[j] + u*a[j] + v*b[j])
	}
}

// times sets the first elements of rows of dst, stride apart, to by times the rows of src,
// which have so many.
func times(dst, src, by []float64, stride, many int) {
	if many == 0 {
		return
	}
	if fast {
		timesFast(&dst[0], &src[0], &by[0], len(by), stride, many)
		return
	}
	for i, v := range by {
		to := dst[i*stride:][:many]
		for j, x := range src[i*many : (i+1)*many] {
			to[j] = v * x
		}
	}
}

// gram sets the lower triangle of the first n rows of s to the products of the columns of
// rows with each other; rows and s have rows of wide.
func gram(s, rows []float64, wide, n int) {
	if fast {
		gramFast(&s[0], &rows[0], wide, len(rows)/wide, (n+3)/4)
		return
	}
	clear(s)
	for ; len(rows) > 0; rows = rows[wide:] {
		for j, v := range rows[:n] {
			out := s[j*wide : j*wide+j+1]
			for k, u := range rows[:len(out)] {
				out[k] += v * u
			}
		}
	}
}

// sum sets dst to the sum of rows of its length, by times each.
func sum(dst, rows, by []float64) {
	if len(by) == 0 {
		clear(dst)
		return
	}
	if fast {
		sumFast(&dst[0], &rows[0], &by[0], len(by), len(dst))
		return
	}
	clear(dst)
	for j, v := range by {
		for i, x := range rows[j*len(dst):][:len(dst)] {
			dst[i] += v * x
		}
	}
}
