// Package shelf says what the bottles on the shelf are worth: what a meter on
// record should show in a bottle on record, how sure that is, and when a
// bottle should no longer be believed.
//
// # The model
//
// The true conductivity of a bottle of salt solution at temperature t is
//
//	κ(t) = κ_salt(molality, t) · (1 + deviation) + κ_water(t)
//
// with the salt from package solutions, the deviation that of impurities which
// conduct, and the water's own conductivity where it is known. A perfect meter
// shows it after its compensation and in its scale (package tempcomp). A pH
// buffer has the pH of its table at t, plus a deviation.
//
// Every figure on record keeps the named sources of its uncertainty, so
// whatever two bottles have in common - the jar, the scale, the stock, the
// model, and here the thermometer - stays in common: the values of several
// bottles have their full covariance, from [uncert.Cov].
//
// # Evaporation
//
// A closed bottle that weighs less than it did has lost water, and what is left
// is stronger: [Weigh] makes the next version of the bottle.
//
// # What it leaves out
//
// A bottle that leaked, grew mould or took up carbon dioxide does not show on a
// scale. [LookOff] finds the bottle that two meters disagree with, and
// [PastDate] the one that is too old; neither says what is wrong with it.
package shelf
