package shelf

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
)

// Names are what a person calls the things a bottle is made with, so that the
// record can tell which bottles share them. Empty where nothing was said.
type Names struct {
	Bottle             string
	Jar, Scale, Water  string
	Stock, SecondStock string
	MadeOn             string // the day, such as 2026-03-01
}

// Check returns an error for a name that cannot be one; see
// [logbook.CheckName]. The error begins with what the name is of.
func (n Names) Check() error {
	for _, x := range []struct{ of, name string }{
		{"bottle", n.Bottle}, {"jar", n.Jar}, {"scale", n.Scale}, {"water", n.Water}, {"stock", n.Stock}, {"second-stock", n.SecondStock},
	} {
		if x.name == "" && x.of != "bottle" {
			continue
		}
		if err := logbook.CheckName(x.name); err != nil {
			return fmt.Errorf("%s: %w", x.of, err)
		}
	}
	return nil
}

// Identities of what has no name. The defaults say what most likely is one
// thing: salt of one formula, grade and purity comes from one jar, a scale and
// a jug are known by their size, water lasts a day, and a stock is the one with
// these masses of this day. Upper and lower case are one.

// JarID is the identity of the jar of salt.
func (n Names) JarID(salt solutions.Salt, s plan.JarSpec) string {
	if n.Jar != "" {
		return strings.ToLower(n.Jar)
	}
	return strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", salt.Formula, s.Grade, doubted(s.Purity, s.UPurity))), " ")
}

// PortionID is the identity of the salt that was dried and weighed together:
// that of the stock, or else of the day.
func (n Names) PortionID(stocks []plan.Weighed) string {
	if len(stocks) > 0 {
		return stocks[0].ID
	}
	return n.MadeOn
}

// ScaleID is the identity of the scale.
func (n Names) ScaleID(s plan.ScaleSpec) string {
	if n.Scale != "" {
		return strings.ToLower(n.Scale)
	}
	return strings.TrimSpace("scale " + doubted(s.StepG, s.UGain))
}

// JugID is the identity of the jug.
func (n Names) JugID(s plan.JugSpec) string { return "jug " + plainNumber(s.SizeML) + "mL" }

// WaterID is the identity of the water.
func (n Names) WaterID(s plan.WaterSpec) string {
	if n.Water != "" {
		return strings.ToLower(n.Water)
	}
	return strings.TrimSpace(n.MadeOn + " " + doubted(s.EC25, s.UEC25))
}

// secondStock stands before the name of a stock that was made from another.
const secondStock = "second "

// Vessels gives the stocks and the bottle of a request their names and
// identities.
func (n Names) Vessels(req *plan.MadeRequest) {
	for i := range req.Stocks {
		s := &req.Stocks[i]
		sort, name := "stock", n.Stock
		if i > 0 {
			sort, name = "second stock", n.SecondStock
		}
		switch {
		case name != "":
			s.Name = called(sort, name)
			s.ID = strings.ToLower(name)
		case i == 0:
			s.Name = sort + " of " + n.MadeOn
			s.ID = fmt.Sprintf("%sg in %sg of %s", plainNumber(total(s.SaltG)), plainNumber(total(s.WaterG)), n.MadeOn)
		default:
			s.Name = sort + " of " + n.MadeOn
			s.ID = fmt.Sprintf("%sg in %sg of %s", plainNumber(total(s.StockG)), plainNumber(total(s.WaterG)), n.MadeOn)
		}
		if i > 0 {
			s.ID = secondStock + s.ID
		}
	}
	req.Name = "bottle " + n.Bottle
	req.Bottle.ID = strings.ToLower(n.Bottle) + " of " + n.MadeOn
}

// called puts what a thing is before its name, unless the name says so.
func called(sort, name string) string {
	if strings.HasPrefix(strings.ToLower(name), sort) {
		return name
	}
	return sort + " " + name
}

// doubted writes a figure and its uncertainty, of which each may be missing.
func doubted(x, u *float64) string {
	switch {
	case x == nil && u == nil:
		return ""
	case u == nil:
		return plainNumber(*x)
	case x == nil:
		return "+-" + plainNumber(*u)
	}
	return plainNumber(*x) + "+-" + plainNumber(*u)
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'g', 10, 64) }

func total(x []float64) float64 {
	sum := 0.0
	for _, y := range x {
		sum += y
	}
	return sum
}
