package sensito

import "strconv"

// ScaleSource says where a row of the speed scale comes from.
type ScaleSource uint8

const (
	Extension ScaleSource = iota // calculated beyond the printed tables
	ISO5800                      // ISO 5800:1987, "ISO speed scales": 4/7° to 3200/36°
	ISO12232                     // ISO 12232:1998, table 1: up to 10000/41°
)

// String names the standard, or "calculated extension".
func (o ScaleSource) String() string {
	switch o {
	case ISO5800:
		return "ISO 5800:1987"
	case ISO12232:
		return "ISO 12232:1998"
	}
	return "calculated extension"
}

// ScaleRow is one step of the printed speed scale. Ten steps are a decade, and
// the printed numbers are neither powers of two nor of 10^0.1.
type ScaleRow struct {
	Number  float64 // arithmetic speed as printed
	Degrees int     // logarithmic speed
	Source  ScaleSource
}

// LogHm returns the log10 exposures of the speed point that fall into the step:
//
//	log10 Hm = log10 0.80 - (S° - 1)/10 ± 0.05
//
// The limits are computed from the definition; the ranges the standard prints
// were not seen.
func (r ScaleRow) LogHm() (lo, hi LogH) {
	c := LogHOf(0.80) - LogH(float64(r.Degrees-1)/10)
	return c - 0.05, c + 0.05
}

// Arithmetic prints the number, for example "400".
func (r ScaleRow) Arithmetic() string { return strconv.FormatFloat(r.Number, 'f', -1, 64) }

// Both prints the pair, for example "400/27°".
func (r ScaleRow) Both() string { return r.Arithmetic() + "/" + strconv.Itoa(r.Degrees) + "°" }

// The printed numbers from 0° on. Source: the tables named at Source, as listed
// with their ranges in the encyclopaedia article "Film speed", table notes.
var scaleNumbers = [...]float64{
	0.8, 1, 1.2, 1.6, 2, 2.5, 3, 4, 5, 6,
	8, 10, 12, 16, 20, 25, 32, 40, 50, 64,
	80, 100, 125, 160, 200, 250, 320, 400, 500, 640,
	800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400,
	8000, 10000, 12500, 16000, 20000, 25000, 32000, 40000, 50000, 64000,
	80000, 100000,
}

// Scale returns the printed speed scale from 0.8/0° to 100000/51°, in order.
func Scale() []ScaleRow {
	rows := make([]ScaleRow, len(scaleNumbers))
	for d := range rows {
		rows[d], _ = ScaleAt(d)
	}
	return rows
}

// ScaleAt returns the row of a logarithmic speed; ok is false outside the scale.
func ScaleAt(degrees int) (row ScaleRow, ok bool) {
	if degrees < 0 || degrees >= len(scaleNumbers) {
		return ScaleRow{}, false
	}
	o := Extension
	switch {
	case degrees >= 7 && degrees <= 36:
		o = ISO5800
	case degrees > 36 && degrees <= 41:
		o = ISO12232
	}
	return ScaleRow{scaleNumbers[degrees], degrees, o}, true
}

// scaleByNumber finds the row of a printed number.
func scaleByNumber(text string) (ScaleRow, bool) {
	switch text { // the doubled series of cameras
	case "12800":
		text = "12500"
	case "25600":
		text = "25000"
	case "51200":
		text = "50000"
	case "102400":
		text = "100000"
	}
	for d := range scaleNumbers {
		if r, _ := ScaleAt(d); r.Arithmetic() == text {
			return r, true
		}
	}
	return ScaleRow{}, false
}
