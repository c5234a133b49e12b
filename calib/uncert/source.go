package uncert

// Source is one independent cause of error.
type Source struct {
	// ID is the identity of the source: values that name the same ID share
	// its error fully, with the sign of their contributions.
	ID string `json:"id"`
	// Label says in words what the source is ("salt purity"). It does not
	// take part in identity.
	Label string `json:"label"`
	// DoF is the number of degrees of freedom behind the stated size of the
	// source. 0 means that none were stated; the size is then taken as known
	// (infinitely many), the usual reading of a type B evaluation
	// (JCGM 100:2008 G.4.2). It is never negative.
	DoF float64 `json:"dof,omitempty"`
}

// Contribution is the signed part of a value's uncertainty that comes from one
// source, in the unit of the value: the partial derivative times the standard
// uncertainty of the source (c_i u_i of JCGM 100:2008 5.1.3).
type Contribution struct {
	Source Source `json:"source"`
	// Size is the signed contribution. It is meaningless where Stated is
	// false.
	Size float64 `json:"size"`
	// Stated is false for a source whose size nobody gave.
	Stated bool `json:"stated"`
}

// Share is a line of an uncertainty budget.
type Share struct {
	Source Source
	// Size is the contribution to the standard uncertainty, not negative, in
	// the unit of the value.
	Size float64
	// Fraction is the part of the variance that is due to this source; the
	// fractions of a budget sum to 1.
	Fraction float64
}
