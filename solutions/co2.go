package solutions

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// FreshAirRange is the years [FreshAir] answers for: the annual means since
// 2015, and ten years ahead at the growth of 2015 to 2025.
var FreshAirRange = Range{Quantity: "year", Low: 2015, High: 2035}

// annualCO2 is the mean of each calendar year over the global marine surface,
// ppm (umol/mol) of dry air: NOAA Global Monitoring Laboratory, X. Lan, P.
// Tans, K. Thoning, as of August 2026; years between are interpolated.
var annualCO2 = []knot{
	{2015, 399.65}, {2016, 403.07}, {2018, 407.61}, {2019, 410.07},
	{2021, 414.70}, {2022, 417.08}, {2024, 422.79}, {2025, 425.64},
}

const (
	co2GrowthPerYear  = 2.60 // ppm, (425.64 − 399.65)/10
	co2GrowthUPerYear = 0.5  // ppm for each year ahead: annual growth scatters between 2.1 and 3.8
)

// Site is a kind of place where outdoor air is read.
type Site struct {
	Name string  // "country", "suburb" or "city"
	Text string  // in words
	U    float64 // standard uncertainty in ppm of one reading there; from memory of local variation, no source
}

// Sites returns the kinds of place, best first.
func Sites() []Site {
	return []Site{
		{"country", "open, windy country", 5},
		{"suburb", "suburb in daytime", 15},
		{"city", "city, or calm air anywhere", 30},
	}
}

// SiteByName finds a site; upper and lower case are the same. The error is an
// [*UnknownNameError] that lists the names.
func SiteByName(name string) (Site, error) {
	var known []string
	for _, s := range Sites() {
		if strings.EqualFold(s.Name, strings.TrimSpace(name)) {
			return s, nil
		}
		known = append(known, s.Name)
	}
	return Site{}, &UnknownNameError{Kind: "site", Name: name, Known: known}
}

// OutdoorCO2 returns the mean carbon dioxide of outdoor air in a calendar
// year, in ppm of dry air: the NOAA annual mean where there is one, linear
// between them, and 2.6 ppm more for each year after the last. Outside
// [FreshAirRange] it returns a [*RangeError].
func OutdoorCO2(year int) (float64, error) {
	y := float64(year)
	if err := FreshAirRange.Check("outdoor carbon dioxide", y); err != nil {
		return 0, err
	}
	last := annualCO2[len(annualCO2)-1]
	return at(annualCO2, math.Min(y, last.x)) + co2GrowthPerYear*math.Max(0, y-last.x), nil
}

// FreshAir returns the reference point of outdoor air in a year at a kind of
// place: common practice for finding a meter that is far off, not a reference
// gas. Errors as for [OutdoorCO2].
func FreshAir(year int, site Site) (Point, error) {
	ppm, err := OutdoorCO2(year)
	if err != nil {
		return Point{}, err
	}
	value, err := uncert.New(ppm, site.U, uncert.Source{ID: "site", Label: "local air: " + site.Text})
	if err != nil {
		return Point{}, err
	}
	ahead := math.Max(0, float64(year)-annualCO2[len(annualCO2)-1].x)
	if value, err = value.With(co2GrowthUPerYear*ahead, uncert.Source{ID: "growth", Label: "growth since the last annual mean"}); err != nil {
		return Point{}, err
	}
	return Point{
		Quantity: "co2", Name: "outdoor air, " + site.Text,
		Value: value, Unit: "ppm",
		Source: "annual means of clean air over all seas, NOAA Global Monitoring Laboratory (Lan, Tans, Thoning), as of August 2026; u is common practice, no source",
		Basis:  co2Basis(year),
		Ranges: []Range{FreshAirRange},
		Notes: []string{
			"a fresh-air check by common practice, not a reference gas: it finds a meter that is far off, no more",
			"ppm here is umol/mol of dry air; moist air at 25 C and 60 %RH shows 1.9 % less",
			"season: northern country air runs about 5 ppm above the year's mean in late winter and 8 ppm below in late summer (from memory)",
			"a cheap optical sensor without pressure compensation reads about 1 % low for each kPa below its calibration pressure (common practice)",
		},
		Making: freshAir,
	}, nil
}

// co2Basis says how the value of a year comes from the annual means.
func co2Basis(year int) string {
	y := float64(year)
	for i, k := range annualCO2 {
		switch {
		case y == k.x:
			return fmt.Sprintf("annual mean of %d", year)
		case y < k.x:
			return fmt.Sprintf("interpolated, %g to %g", annualCO2[i-1].x, k.x)
		}
	}
	return fmt.Sprintf("extrapolated from %g, %.1f ppm a year", annualCO2[len(annualCO2)-1].x, co2GrowthPerYear)
}

// freshAir: common practice.
var freshAir = Making{
	Steps: []string{
		"Take the meter outdoors in mid-afternoon on a day with a breeze, away from traffic, chimneys and dense plants.",
		"Hold it upwind and at arm's length, 2 m from people: breath holds about 40000 ppm.",
		"Shade it, give it 20 minutes to take the air's temperature, and read over 5 minutes.",
		"Compare with the value here. Nights and calm mornings near plants can lie 20 to 100 ppm above it.",
	},
	Cautions: []string{
		"This checks a meter, not the air you breathe: where carbon dioxide is burnt or released, keep a monitor for the room (5000 ppm is a common 8-hour workplace limit).",
	},
}
