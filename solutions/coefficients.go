package solutions

// The coefficients of the conductivity model: see conductance for the form,
// and derive_test.go for the derivation, which anyone can repeat with
//
//	go test ./solutions -run TestCoefficientsAreRederived -v
//
// It prints them as they stand here. Why this form, and which tables:
//
//   - The published single-equation coefficients (McCleskey 2011) are 0.4 to
//     1.1 % off the primary KCl table. The limiting law with free higher terms
//     meets it to 0.015 %.
//   - The higher terms are scaled by the fluidity of water. That takes up
//     nearly all of their change with temperature, so few coefficients have to
//     follow it, and none can swing between the three strengths that the
//     primary table has.
//   - The coefficient of c ln c is fitted. The value of Fuoss and Onsager
//     belongs to a series that ends at c√c and is good to 0.01 mol/L; held to
//     it, the form misses the handbook values by 0.2 %.

// kclConductance: weighted least squares to the primary table (IUPAC 2001, 35
// values), the handbook's molar conductivities at 25 C (11) and limiting
// conductivities 0 to 55 C (Robinson and Stokes, 6).
var kclConductance = conductance{
	limiting:    [4]float64{149.78179, 74.388815, 5.470227, -0.73408902},
	logarithmic: 9.7738728,
	linear:      [5]float64{157.25657, -2.5344323, 1.9269843, -0.73236232, 0.2611182},
	threeHalves: [5]float64{-149.5441, -0.53045963},
	quadratic:   49.497017,
	u: modelUncertainty{
		base:    0.0005, // IUPAC: about 0.03 to 0.04 %, residuals 0.015 %; the handbook at 25 C is 0.04 % lower
		dilute:  0.0009, // limiting conductivities by temperature, residuals up to 0.1 %
		temp:    0.0003,
		strong:  0.0002,
		between: 0.001, // the tables have 0.1 and 1 mol/kg; sea-water work at 15 C and Kohlrausch at 18 C agree to 0.03 % between
	},
}

// naclConductance: weighted least squares to the handbook's molar
// conductivities at 25 C (11), limiting conductivities 0 to 55 C (Robinson and
// Stokes, 6; Gunning and Gordon, 3) and the shape with temperature at 1 mol/kg
// (McCleskey 2011, corrected by the same source's error for KCl, 9). The higher
// terms change with temperature as those of KCl, save two coefficients of c.
var naclConductance = conductance{
	limiting:    [4]float64{126.40356, 65.737571, 6.0092822, -0.51141125},
	logarithmic: 2.6950317,
	linear:      [5]float64{125.64502, 0.50700636, 1.0721576, -0.58514362, 0.20862849},
	threeHalves: [5]float64{-116.6976, -0.4139472},
	quadratic:   40.128583,
	u: modelUncertainty{
		base:       0.001,  // one handbook column, residuals 0.015 %; no second source at 25 C
		temp:       0.0036, // limiting conductivities, which disagree by 0.6 % at 0 C and by 0.1 % up to 45 C
		strong:     0.0011, // from memory, of unsure ohm (0.05 %)
		strongTemp: 0.004,  // the shape at 1 mol/kg needs a correction of 1 % at 5 C, found with KCl
		between:    0.001,  // as for KCl
	},
}
