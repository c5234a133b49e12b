// Package uncert carries a measured value together with its named sources of
// uncertainty.
//
// A [Value] is a number plus a linear map from sources to contributions:
//
//	error(y) = Σ c_i · e_i,   e_i independent, mean 0, standard deviation 1
//
// where c_i is the signed contribution of source i in the unit of y. The
// standard uncertainty is u(y) = √Σ c_i². Two values that name the same source
// share its error, so their covariance is Σ c_i(a)·c_i(b): bottles made from
// one jar of salt move together, and averaging them does not shrink the jar's
// error. A value minus itself is exactly zero.
//
// Sources have identity, not only size: equal numbers are not equal sources.
// Keep the identifier when a value is stored ([Value.Parts], [FromParts]);
// values reloaded under new identifiers become unrelated.
//
// Unknown, exact and zero are three things. [Exact] has no source. A source
// whose size nobody stated is kept by name ([Unstated]) and follows the value
// through arithmetic, so a result can say what its uncertainty leaves out.
//
// The arithmetic is the first-order law of propagation of JCGM 100:2008 (GUM)
// 5.1–5.2; it is not valid where a function curves strongly within the
// uncertainty of its arguments. All uncertainties are standard uncertainties
// (k = 1); a coverage factor appears only in [Interval].
package uncert
