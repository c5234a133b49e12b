package solutions

const (
	sourceIUPACBuffers = "Covington, Bates, Durst, Pure Appl. Chem. 57 (1985) 531; Buck et al. (IUPAC), Pure Appl. Chem. 74 (2002) 2169, after Bates, J. Res. NBS 66A (1962) 179"
	sourceCarbonate    = "Staples, Bates, J. Res. NBS 73A (1969) 37; Buck et al. (IUPAC), Pure Appl. Chem. 74 (2002) 2169"
	sourceBottle       = "usual table of bottle buffers as printed in an instrument manual, rounded to 0.01; u is a recommendation"
	bottleNote         = "the table printed on your own bottle comes first: makers' recipes differ"
)

// bufferRange is the range of all tables but tartrate's.
var bufferRange = Range{Quantity: "temperature", Unit: "C", Low: 0, High: 50}

// Standard uncertainties of pH on the conventional scale: a recommendation
// from the spread between publications (ISO 23496:2019 4.2 gives U = 0.002 to
// 0.005 at k = 2, 25 C, for primary buffers).
var (
	uBufferFlat   = []knot{{25, 0.003}}
	uCarbonate    = []knot{{25, 0.004}}
	uTetroxalate  = []knot{{25, 0.005}}
	uBottleBuffer = []knot{{25, 0.010}}
	uPhthalate    = []knot{{0, 0.006}, {5, 0.005}, {10, 0.003}, {35, 0.003}, {40, 0.005}, {50, 0.005}}
	uBorax        = []knot{{0, 0.005}, {5, 0.005}, {10, 0.003}, {35, 0.003}, {40, 0.005}, {50, 0.005}}
)

// buffers is the table behind [Buffers]. The coefficients are least squares
// over testdata/published/ph_buffers.csv (TestBufferCoefficientsFollowFromTheTable).
var buffers = []Buffer{
	{
		Name: "tetroxalate", Composition: "0.05 mol/kg potassium tetroxalate",
		Range: bufferRange, Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{1.6788881, 0.0202273, 0.0077797}, u: uTetroxalate,
		Making: Making{NotAtHome: "potassium tetroxalate is an oxalate and poisonous; a grower needs only the 4, 7 and 9 or 10 buffers"},
	},
	{
		Name: "tartrate", Composition: "potassium hydrogen tartrate, saturated at 25 C",
		Range:    Range{Quantity: "temperature", Unit: "C", Low: 25, High: 50},
		Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{3.5570357, -0.0291250, 0.0209821}, u: uBufferFlat,
		Notes:  []string{"defined only at and above 25 C, the temperature at which it is saturated"},
		Making: Making{NotAtHome: "it has to be saturated and filtered at 25 C and moulds within days; a grower needs only the 4, 7 and 9 or 10 buffers"},
	},
	{
		Name: "phthalate", Composition: "0.05 mol/kg potassium hydrogen phthalate",
		Range: bufferRange, Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{4.0049814, 0.0250000, 0.0200466}, u: uPhthalate,
		Notes:  []string{"older tables print 4.008 (1962) or 4.006 (1977) at 25 C; this is the 1985/2002 value, 4.005"},
		Making: powderBuffer("phthalate (pH 4)", 35, false, "keep off skin and eyes"),
	},
	{
		Name: "phosphate", Composition: "0.025 mol/kg KH2PO4 with 0.025 mol/kg Na2HPO4",
		Range: bufferRange, Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{6.8650676, -0.0687393, 0.0432401, -0.0067502}, u: uBufferFlat,
		Making: powderBuffer("phosphate (pH 6.86)", 30, true, "keep off skin and eyes"),
	},
	{
		Name: "phosphate-3.5", Composition: "0.008695 mol/kg KH2PO4 with 0.03043 mol/kg Na2HPO4",
		Range: bufferRange, Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{7.4127156, -0.0723028, 0.0375291, -0.0111937}, u: uBufferFlat,
		Making: Making{NotAtHome: "its two salts must be dried and weighed to a milligram, and it is not sold as a powder sachet; use the 4, 7 and 9 or 10 buffers"},
	},
	{
		Name: "borax", Composition: "0.01 mol/kg sodium tetraborate decahydrate",
		Range: bufferRange, Decimals: 3, Source: sourceIUPACBuffers,
		coefficients: []float64{9.1797459, -0.2157964, 0.0572261, -0.0112665}, u: uBorax,
		Making: powderBuffer("borax (pH 9.18)", 30, true, "borax is harmful if swallowed: away from children, pets and food, and never in a food container"),
	},
	{
		Name: "carbonate", Composition: "0.025 mol/kg NaHCO3 with 0.025 mol/kg Na2CO3",
		Range: bufferRange, Decimals: 3, Source: sourceCarbonate,
		coefficients: []float64{10.0118345, -0.2400418, 0.0608683, -0.0043463}, u: uCarbonate,
		Notes:  []string{carbonateNote},
		Making: powderBuffer("carbonate (pH 10.01)", 30, true, "sodium carbonate irritates the eyes"),
	},
	{
		Name: "4.00", Composition: "bottle buffer, phthalate 0.05 mol/L",
		Range: bufferRange, Decimals: 2, Source: sourceBottle,
		coefficients: []float64{4.0039081, 0.0284875, 0.0268244}, u: uBottleBuffer,
		Notes:  []string{bottleNote},
		Making: powderBuffer("4.00 (phthalate)", 35, false, "keep off skin and eyes"),
	},
	{
		Name: "7.00", Composition: "bottle buffer, Na2HPO4 0.041 mol/L with KH2PO4 0.026 mol/L",
		Range: bufferRange, Decimals: 2, Source: sourceBottle,
		coefficients: []float64{7.0035424, -0.0636032, 0.0598727, -0.0113222, -0.0186706}, u: uBottleBuffer,
		Notes:  []string{bottleNote},
		Making: powderBuffer("7.00 (phosphate)", 30, true, "keep off skin and eyes"),
	},
	{
		Name: "10.01", Composition: "bottle buffer, NaHCO3 0.025 mol/L with Na2CO3 0.025 mol/L",
		Range: bufferRange, Decimals: 2, Source: sourceBottle,
		coefficients: []float64{10.0122763, -0.2382075, 0.0637617, -0.0074570}, u: uBottleBuffer,
		Notes:  []string{bottleNote, carbonateNote},
		Making: powderBuffer("10.01 (carbonate)", 30, true, "sodium carbonate irritates the eyes"),
	},
}

const carbonateNote = "a bottle marked 10.00 is often made from borate and follows another table (it falls by about 0.010 per C near 25 C; from memory): read the bottle"
