// Package solutions says what a reference solution is worth: the true
// conductivity of sodium chloride and potassium chloride in water by strength
// and temperature, and the tables and formulas of the other references that a
// kitchen can make (pH buffers, saturated salts, ice and steam, air-stirred
// water, outdoor air).
//
// # The job
//
// Somebody dissolves a weighed amount of salt in a weighed amount of water. The
// package answers: which conductivity has that solution at this temperature,
// how sure is that, and which amount gives the conductivity wanted.
//
//	molality  m = mol of salt per kg of water          from the masses
//	density   ρ(w, t)                                  SolutionDensity
//	conc.     c = ρ w / M   in mol/L at t              the mass fraction w from m
//	molar     Λ(c, t) = Λ° − (b1 Λ° + b2) √c + …       MolarConductivity
//	result    κ = 1000 c Λ  in uS/cm                   Conductivity
//
// Molality is the measure of strength inside: it needs no temperature. All
// others ([StrengthOf], [Molality]) convert through density at 25 C.
//
// # The model
//
// Λ is Onsager's limiting law, from water's permittivity and viscosity, plus
// higher terms E c ln c + J1 c + J2 c√c + J3 c² + J4 c²√c that follow the fluidity of
// water and are fitted to published tables. The limiting conductivity Λ° is a
// cubic in temperature. The published one-equation fits err by 1 % and more;
// this form meets every entry of the primary KCl table within its stated
// uncertainty. The coefficients stand in coefficients.go; the test
// TestCoefficientsAreRederived derives them again from the tables in
// testdata/published.
//
// # What it leaves out
//
// The water's own conductivity is not in [Conductivity]; add
// [WaterConductivity]. Mixtures of salts, other salts, pressures far from
// normal and temperatures outside 0 to 50 C are refused, not guessed. A number
// outside the declared [Range] gives a [*RangeError], never a clamped or an
// extrapolated value.
//
// Units are in the names or the comments: C (ITS-90), uS/cm, mol/kg of water,
// mol/L and mg/L of solution at 25 C, kg/m3. All uncertainties are standard
// uncertainties (k = 1).
package solutions
