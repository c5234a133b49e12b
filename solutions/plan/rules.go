package plan

// What the search may choose from. Common practice, no source, unless another
// reason is given.
const (
	// LeastSteps is the least mass that a plan weighs, in steps of the scale,
	// for anything but a bottle's own salt and water; those are weighed below
	// it too, with a warning, the salt down to one step.
	LeastSteps = 50
	// StockMolalityLimit keeps stocks to strengths that dissolve within
	// minutes and never come near saturation in the cold (6.1 mol/kg for
	// NaCl and 3.7 mol/kg for KCl at 0 C), in mol per kg of water.
	StockMolalityLimit = 2.0
	// StockShare is the part of a stock that a plan uses at most: the last
	// drops are not worth chasing.
	StockShare = 0.9
	// MostPortions is the largest number of portions in which one amount of
	// salt, stock or water is weighed; beyond it a person miscounts.
	MostPortions = 50
	// LargestStockML is the largest stock where no bottles are named, in mL.
	LargestStockML = 1000.0
	// Headspace is the part of a bottle that is left empty, so that what is in
	// it can be shaken.
	Headspace = 0.05
)

// rules are the same as data.
type rules struct {
	steps         float64
	stockMolality float64
	share         float64
	portions      int
	largestML     float64
}

func standardRules() rules {
	return rules{steps: LeastSteps, stockMolality: StockMolalityLimit, share: StockShare, portions: MostPortions, largestML: LargestStockML}
}

// stockNames are the names of the first and the second stock.
var stockNames = [2]string{"stock A", "stock B"}
