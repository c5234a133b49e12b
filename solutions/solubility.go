package solutions

// solubilityTable holds the saturated solution by temperature.
type solubilityTable struct {
	massPercent [6]float64 // at solubilityTempC
	u           float64    // standard uncertainty, mass percent
}

// solubilityTempC are the temperatures of the solubility tables.
var solubilityTempC = [6]float64{0, 10, 20, 25, 30, 40}

// Solubility in mass percent of the saturated solution: CRC Handbook, "Aqueous
// solubility of inorganic compounds at various temperatures" (from memory;
// the NaCl row agrees with the molalities of the 98th edition, 6.153 mol/kg at
// 25 C, and with Potter, Babcock and Brown, J. Res. USGS 5 (1977) 389).
var (
	naclSolubility = solubilityTable{massPercent: [6]float64{26.28, 26.32, 26.41, 26.45, 26.52, 26.67}, u: 0.05}
	kclSolubility  = solubilityTable{massPercent: [6]float64{21.74, 23.61, 25.39, 26.22, 27.04, 28.59}, u: 0.1}
)

// SolubilityRange is where the solubility tables hold.
var SolubilityRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 40}

// Solubility returns the molality of the saturated solution, mol/kg of water,
// at tempC (in C), interpolated linearly between tabulated temperatures.
// Standard uncertainty about 0.2 % (NaCl) and 0.5 % (KCl) of the value. Outside
// [SolubilityRange] it returns a [*RangeError].
func Solubility(s Salt, tempC float64) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	if err := SolubilityRange.Check("solubility of "+s.Formula, tempC); err != nil {
		return 0, err
	}
	percent := interpolate(solubilityTempC[:], s.solubility.massPercent[:], tempC)
	return s.molalityOf(percent / 100), nil
}

// interpolate reads a table with rising x linearly; x must lie inside it.
func interpolate(xs, ys []float64, x float64) float64 {
	i := 1
	for i < len(xs)-1 && x > xs[i] {
		i++
	}
	f := (x - xs[i-1]) / (xs[i] - xs[i-1])
	return ys[i-1] + f*(ys[i]-ys[i-1])
}
