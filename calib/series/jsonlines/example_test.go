package jsonlines_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/series/jsonlines"
)

// A message of a controller, and what was found out about it behind the rest:
// nothing else in it changes.
func Example() {
	line := []byte(`{"time":"2026-03-01T08:30:00Z", "ec":1.200e3, "pump":{"on":true} }`)
	members, at, err := jsonlines.Object(line, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s is %s\n", members[1].Name, members[1].Value(line))

	out := append([]byte(nil), line[:at]...)
	out = append(jsonlines.AppendName(out, "ec_corrected", len(members) == 0), "1224"...)
	out = append(out, line[at:]...)
	fmt.Println(string(out))
	// Output:
	// ec is 1.200e3
	// {"time":"2026-03-01T08:30:00Z", "ec":1.200e3, "pump":{"on":true},"ec_corrected":1224 }
}
