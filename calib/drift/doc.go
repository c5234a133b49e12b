// Package drift tells from a meter's record how its error moves: how fast,
// since when, and when it must be checked again.
//
// # The model
//
// The error of every check, reading - reference (a fraction of the reference
// for conductivity), is the meter's error at that time, an error that the
// checks share with others, and noise:
//
//	e(i) = level(t) + h(i) second(t) + sum of a(i,k) offset(k) + noise(i)
//	level(t+dt) = level(t) + rate dt + walk
//
// The level drifts at a steady rate and may wander. offset(k) is constant: the
// error of a stock from which bottles were made, or of one bottle. Ten checks
// with bottles of one stock do not average the stock's error away. second is
// what differs between references, wherever two of them lie far enough apart: a
// zero error beside a gain error, or the slope of a pH electrode that weakens,
// which shows at pH 4 and not at pH 7. It drifts, wanders and takes knocks by
// itself, as the level does. So an electrode that reads 0.2 too much in one
// buffer, visit after visit, is off there, and no check of it is bad. The error
// is stated at the reference where it is worst.
//
// Known events break the course: adjusted (the level restarts near zero; second
// too, or it stays, since many a meter is adjusted at one reference alone),
// cleaned (it may jump), replaced (level and rate restart). A check may be
// wrong, with a small probability, and a meter may take a knock between two
// checks: both are tried at every check, so that one wrong bottle does not look
// like drift.
//
// Rate, walk and noise have sizes that nobody knows. They are not fitted but
// summed over, on a grid, with the weights of priors.go: two or three checks
// then give an answer that is wide, and many give one that the prior hardly
// moves. Given the sizes and what happened, the rest is a Kalman filter. What
// is believed in the end is a mixture of normal distributions, and every
// interval and probability comes from it. Whether a meter wanders shows late,
// so the further ahead a moment lies, next to the time for which the meter has
// been watched, the likelier wandering is taken to be.
//
// # The dates
//
// Due is the first day on which the probability of being outside tolerance
// exceeds the risk accepted; none is named where that lies beyond [Horizon]. It
// is worked out from the drift: a knock cannot be foreseen. The next check comes no later than that, and no
// later than common practice for such a meter, which is what guards against
// knocks. How an interval is found from a meter's own course is method 2 of
// ILAC-G24/OIML D 10:2022, 6.3.
//
// # Charts and tests
//
// Beside the model stand the plain tools: [EWMA], [CUSUM], [MannKendall],
// [TheilSen] and [FindShift], as the handbooks have them. Their alarms in a
// [Result] use limits computed for the number of checks, so that a stable meter
// raises one in fewer than one of a hundred histories.
//
// # What it leaves out
//
// A bottle that ages is not modelled: where a drift rests on one, the result
// says that it may be the bottle's until a fresh one agrees. Temperature is not looked at: the
// reference is to be what a perfect meter would show at that temperature. What
// lies between two checks far apart is assumed, and said to be.
package drift
