// Package conformity turns an uncertain error and a tolerance into a verdict.
//
// A measured error is not the true one. JCGM 106:2012 therefore asks for the probability that the
// true value lies within its limits, given what was measured and how well:
//
//	p = Phi((High - y)/u) - Phi((Low - y)/u)        (one value y, standard uncertainty u)
//
// and leaves it to a rule what to make of p. The rule here has three answers: pass at 95 % or more,
// fail at 5 % or less, undecided between. An undecided verdict is an honest one, not an error: the
// measurement is too coarse for the question.
//
// [Joint] does the same for several values that must all lie within their limits at once, whose
// errors may be partly shared: bottles of one stock are wrong together.
//
// What it declines to do: it sets no tolerances, it knows no prior beside the measurement (the
// prior is flat), and it gives no probability where the uncertainty is not known.
package conformity
