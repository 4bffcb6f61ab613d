package spectral

// Generic returns a stand-in for a film of a class where nothing better is
// known, peak 1, log-linear between its nodes.
//
// The panchromatic one is derived: fitted so that it meets the general table of
// daylight and tungsten filter factors that handbooks reprint, with ISO 7589
// sensitometric daylight and studio tungsten, to a third of a stop. It is the
// curve of no film. The blue-sensitive, orthochromatic and extended-red ones are
// invented. A number that is no class returns the empty Sensitivity.
func Generic(c Class) Sensitivity {
	var nm, logS []float64
	switch c {
	case BlueSensitive:
		nm = []float64{350, 380, 400, 430, 460, 480, 500, 520, 530}
		logS = []float64{-.50, -.25, -.10, 0, -.08, -.30, -.80, -1.70, -2.60}
	case Orthochromatic:
		nm = []float64{380, 400, 430, 460, 490, 510, 530, 550, 565, 580, 590, 600}
		logS = []float64{-.40, -.15, 0, -.05, -.35, -.42, -.20, -.08, -.18, -.70, -1.40, -2.30}
	case Panchromatic:
		nm = []float64{380, 400, 430, 460, 490, 520, 550, 580, 600, 620, 640, 655, 670, 690}
		logS = []float64{-.59, -.26, 0, -.26, -.64, -.37, -.17, -.37, -.43, -.51, -.72, -.99, -1.29, -1.60}
	case ExtendedRed:
		nm = []float64{380, 400, 430, 460, 490, 520, 550, 580, 620, 660, 690, 710, 725, 740, 755}
		logS = []float64{-.55, -.25, 0, -.20, -.48, -.36, -.22, -.22, -.18, -.15, -.20, -.38, -.75, -1.35, -2.20}
	default:
		return Sensitivity{}
	}
	s, err := SensitivityFromLog(nm, logS, LogLinear)
	if err != nil {
		panic(err) // the tables above are checked by the tests
	}
	return s
}
