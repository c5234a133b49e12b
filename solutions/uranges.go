package solutions

// Ranges of the standard uncertainties that a person may state. Beyond them a
// first-order propagation means nothing, and the figure is a slip or says that
// nothing was measured. Common practice, no source.
var (
	UTempRange     = Range{Quantity: "standard uncertainty of the temperature", Unit: "C", Low: 0, High: 20}
	UPressureRange = Range{Quantity: "standard uncertainty of the pressure", Unit: "kPa", Low: 0, High: 20}
	// UGradientRange is for the temperature of a sensor minus that of the salt.
	UGradientRange = Range{Quantity: "standard uncertainty of the temperature difference", Unit: "C", Low: 0, High: 5}
	UWaterECRange  = Range{Quantity: "standard uncertainty of the water's conductivity", Unit: "uS/cm", Low: 0, High: 1000}
	// URelativeRange is for whatever is stated as a share of its value, and for
	// a strength in its own unit.
	URelativeRange = Range{Quantity: "relative standard uncertainty", Unit: "%", Low: 0, High: 50}
)
