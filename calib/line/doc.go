// Package line fits straight lines that turn what a meter showed into what was true.
//
// The line is always
//
//	corrected = intercept + slope * reading
//
// so X is the reading and Y the reference, whichever of the two is the better known. A fit is
// pure numbers: it takes slices and covariance matrices and returns a plain struct. Units, files
// and verdicts belong to other packages.
//
// # Methods
//
//   - Gain: least squares through zero, one parameter.
//   - TwoPoint: the line through two points.
//   - Ordinary: ordinary least squares of Y on X, all points alike.
//   - Weighted: generalised least squares; the covariance of Y is known, X is exact.
//   - ErrorsInBoth: generalised distance regression in the sense of ISO/TS 28037:2010; the
//     covariances of X and of Y are known, shared errors included.
//   - TheilSen: the median of the pairwise slopes, for a look at outliers.
//
// # Where an interval comes from
//
// Basis tells. FromScatter: nobody stated an uncertainty, so the scatter of the points about the
// line is the only witness, with n - p degrees of freedom and Student's t. The scatter cannot see
// an error that all references share. FromStated: the covariances given are believed, are not
// scaled by chi-squared, and the interval is normal. NoBasis: there is neither (two points and
// nothing stated); then uncertainties are NaN and there is no interval, rather than a narrow one.
//
// # What it declines to do
//
// It drops no points: those that stand out are flagged and stay in. It never takes a missing
// covariance for a zero one. It gives no interval to a robust line.
package line
