package solutions

import "fmt"

// powderBuffer describes how a buffer is made from a bought, portioned powder;
// keepDays is its shelf life and boiled asks for water free of carbon dioxide.
// Shelf lives are common practice.
func powderBuffer(powder string, keepDays int, boiled bool, caution string) Making {
	water := "Put the bottle on the scale and weigh in the water the sachet asks for, distilled or demineralised: for 250 mL the scale shows 249.3 g at 20 C."
	if boiled {
		water = "Boil distilled or demineralised water for 5 minutes and let it cool with the lid on (carbon dioxide shifts this buffer). " + water
	}
	return Making{
		Steps: []string{
			"Buy a portioned powder for the buffer " + powder + "; if it prints a table of pH by temperature, that table comes first.",
			water,
			"Tip in the whole powder, rinse the sachet with some of the water, close and swirl until nothing is left to dissolve.",
			fmt.Sprintf("Label it: what it is, its pH at 25 C, the date made, the date to discard it (%d days; sooner if it is cloudy or mouldy).", keepDays),
			"For use, pour out a small portion, leave the probe in it for about 10 minutes, read the temperature and look up the pH at that temperature.",
			"Throw the portion away afterwards: never pour it back and never dip a probe into the bottle.",
		},
		Cautions: []string{
			"Wear goggles and gloves; " + caution + ".",
			"Not a drink bottle, not a food container; keep away from children and pets.",
		},
	}
}
