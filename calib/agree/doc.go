// Package agree says how far meters agree with one another and with references.
//
// The meters read the same samples, and a [Set] groups what they showed. From it
// [Compare] derives, for every two meters a and b over the n samples both read,
//
//	d_i   = (mean of b in sample i) − (mean of a in sample i)
//	bias  = mean of d,   u(bias) = s(d)/√n,   Student's t with n − 1
//	limits of agreement = bias ± 1.96 s   (Bland and Altman 1986)
//	p_agree = P(|true mean of d/T| ≤ 1),   T the tolerance in that sample
//
// with the ratio b/a, a line of b on a with errors in both (Deming, with
// Passing-Bablok as the distribution-free check), and a verdict: agree from
// 95 %, disagree up to 5 %, undecided between. For every meter with references
// it derives the probability that its error, a zero part plus a gain part, lies
// within tolerance at all of them.
//
// Assumptions, and what follows from them:
//
//   - A sample is one liquid. Its own error is the same for every meter, so it
//     cancels between meters, also where bottles of one stock share theirs. It
//     does not cancel against a reference, and does not average away.
//   - Repetitions in one sample are not further samples: they are averaged, and
//     n counts samples.
//   - A relative tolerance is a fraction of the reference, or of the mean of the
//     two meters where there is no reference; each sample counts by its own.
//   - What is not stated is not zero. A single sample without stated
//     uncertainties gives no interval and no verdict.
//   - The limits of agreement describe single readings; the bias and the verdict
//     describe the mean difference.
//
// What it declines to do: without a reference it does not say which of two
// meters is right, since nothing in their readings does.
//
// The methods stand on their own as functions as well: [LimitsOfAgreement],
// [FitDeming], [FitPassingBablok], the scores of ISO 13528 ([ZetaScore],
// [EnScore]) and [ConsensusOf].
package agree
