// Package tempcomp says what a conductivity meter with a given temperature
// compensation and display scale shows in a liquid of known conductivity, and
// what conductivity stands behind a reading.
//
// Conductivity rises by about 2 % for each degree, so nearly every meter turns
// the conductivity κ(t) that it measured at temperature t into an estimate of
// the conductivity at a reference temperature, and shows that on a scale:
//
//	reading = scale · κ(t) / F(t)
//
// F is the meter's compensation rule:
//
//	[Linear]        F(t) = 1 + α (t − t_ref)
//	[None]          F(t) = 1
//	[NaturalWater]  F(t) = 1 / f25(t)          (ISO 7888:1985)
//
// and scale is 1 (uS/cm), 0.001 (mS/cm) or a ppm factor. A rule is a habit of
// the meter, not a property of the liquid. Salt in water does not follow a
// straight line, so a perfect meter does not show the conductivity at the
// reference temperature; it shows what its rule makes of κ(t). A [Display]
// computes that, so that a difference between two rules is never booked as an
// error of a meter, and [Display.Recover] undoes it.
//
// [EstimateLinear] works backwards: from one bottle read at several
// temperatures it finds the coefficient α that a meter really uses, and the
// reference temperature where the readings can tell it. [Examine] is the whole
// question: it also compares the rules, tells the meter's gain from the
// bottle's strength, and judges a coefficient that is claimed.
//
// Units: conductivity in uS/cm, temperature in °C (ITS-90), α in 1/°C (2 %/°C
// is 0.02). The temperature that belongs to [Display.Show] is that of the
// liquid; the one that belongs to [Display.Recover] is what the meter's own
// thermometer showed, since that is what the meter used.
package tempcomp
