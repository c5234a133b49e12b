// Package jsonlines finds the members of the objects of a JSON Lines text in
// place: one object a line, as controllers and message brokers write them.
//
// Whoever adds to such a log must hand every byte of it back, the order of the
// members and the spelling of their numbers included. So an object is not
// decoded and encoded again: [Object] says where in the line the value of each
// member stands, and where new members go, behind the last one and before the
// closing brace. What is nested in a value is not looked at.
//
// The grammar is that of RFC 8259, read by encoding/json. A line that holds
// anything but one object is an error. Names may stand twice in an object, as
// in encoding/json; who needs one of them has to decide what that means.
package jsonlines
