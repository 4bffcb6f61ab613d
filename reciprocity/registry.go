package reciprocity

// registry has a row for each law and each way to fit it, simplest first; a law that
// is not fitted has no kind and no fit. The rest of the package knows no law by name.
var registry = []entry{
	{noFailureForm{}, KindNoFailure, noFailureForm{}},
	{powerForm{}, KindPower1s, power1sForm{}},
	{smoothForm{}, KindSmooth, smoothForm{}},
	{additiveForm{}, KindAdditive162, additive162Form{}},
	{powerForm{}, KindPower, powerForm{}},
	{additiveForm{}, KindAdditive, additiveForm{}},
	{catenaryForm{}, KindCatenary, catenaryForm{}},
	{form: hyperbolaForm{}},
	{twoBranchForm{}, KindTwoBranch, twoBranchForm{}},
	{form: tableForm{}},
}

type entry struct {
	form former
	kind Kind
	fit  fitter
}
