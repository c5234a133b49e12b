package reports_test

import (
	"fmt"
	"io"
	"os"

	"github.com/brinemark/brinemark/reports"
)

// bottle is a result: what JSON shows stands in the struct, the table beside it.
type bottle struct {
	EC25     reports.Number   `json:"ec25_uS_cm"`
	UEC25    reports.Number   `json:"u_ec25_uS_cm"`
	PH       reports.Number   `json:"ph"`
	Warnings reports.Warnings `json:"warnings"`
}

func (b bottle) WarningList() []string { return b.Warnings }

func (b bottle) Table(w io.Writer, s reports.Style) error {
	var f reports.Fields
	ec, _ := b.EC25.Get()
	f.Add("EC at 25 C", reports.PlusMinus(ec, b.UEC25, "uS/cm"))
	f.Add("pH", b.PH.String())
	return f.Write(w, s)
}

// One result, shown twice. Nobody measured the pH, so it is unknown and not 0.
func Example() {
	var r reports.Result = bottle{EC25: reports.Known(1413.237), UEC25: reports.Known(2.14)}
	if err := r.Table(os.Stdout, reports.Style{}); err != nil {
		fmt.Println(err)
	}
	if err := reports.WriteJSON(os.Stdout, r); err != nil {
		fmt.Println(err)
	}
	// Output:
	// EC at 25 C  1413.2 ± 2.1 uS/cm
	// pH          unknown
	// {
	//   "ec25_uS_cm": 1413.237,
	//   "u_ec25_uS_cm": 2.14,
	//   "ph": null,
	//   "warnings": []
	// }
}
