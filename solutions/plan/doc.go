// Package plan turns a jar of salt, a scale and a jug of water into bottles of
// known conductivity: which masses to weigh, how well each bottle is then
// known, and what a bottle is worth whose masses were not hit exactly.
//
// # The model
//
// A scale shows R grams of something of density ρ. Its true mass is
//
//	m = R · gain · (1 − ρa/8000) / (1 − ρa/ρ)
//
// with ρa the density of air: a scale is adjusted with weights of 8000 kg/m3
// (conventional mass, OIML R 111 and D 28), and air carries a part of whatever
// stands on it. The gain is one unknown number near 1 for all weighings of one
// scale; a strength is a ratio of two masses, so it drops out, and it does so
// here because every mass names it as the same source.
//
// Of a mass of salt as it lies in the jar, the fraction "moisture" is water,
// and of the dry rest the fraction "purity" is the salt itself. The remainder
// is impurity. A [Liquid] keeps the mass fractions of pure salt, impurity and
// water; mixing weighed amounts of liquids is arithmetic on those. Then
//
//	molality = pure / (M · water)
//	κ25      = κ_salt(molality) · (1 + c · impurity/pure) + κ_water
//
// where c is the conductance of the impurities relative to the salt's, gram
// for gram. Its expected value is taken as 0 and its standard uncertainty as
// 1/√3, see [Jar]. κ_water is the conductivity of the water before the salt
// went in. That the two do not quite add is a source of its own
// ([solutions.WaterIonsExcess]).
//
// Every quantity above is an [uncert.Value]. Two bottles made from one stock
// name the stock's weighings, the jar and the scale as the same sources, so
// their covariance is there without further work.
//
// # The plan
//
// [Make] searches direct weighing, one stock, and a second stock made from the
// first, each by mass, and takes the plan with the fewest weighings that keeps
// every bottle within the uncertainty asked for; of those with the same number
// the one with fewer stocks, and then with the lower uncertainty. If none does,
// it takes the fewest weighings within 3 % of the lowest uncertainty reachable
// ([NearlyLowest]), and says what limits it. What the search may choose from is
// written down beside [LeastSteps].
//
// A stock of a given strength is tried in the largest size that each number of
// weighings allows, since a smaller one is worse in every respect; strengths lie
// 0.5 % apart, or 3 % for each of two stocks, and wherever one portion more
// begins in a bottle. A plan with fewer weighings can be missed if it keeps
// within the uncertainty asked for by less than a thousandth of that, or where
// a stock is too small for more than five bottles and several have to be made
// another way; and if there are so many bottles or portions that the search is
// cut short, a warning says so. A test sets a person with pencil and paper
// against it.
//
// Volumes are a fallback with their own, larger, uncertainty ([Jug]).
//
// # What it leaves out
//
// Salt lost on the way from dish to bottle, water that evaporates while it is
// weighed, and a scale that drifts between two readings are not in the model:
// the steps tell how to avoid them. A liquid stronger than the conductivity
// model covers can be a stock but not a reference.
package plan
