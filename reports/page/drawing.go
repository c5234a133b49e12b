package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"html/template"
	"io"
	"strings"
)

// drawn are the elements of SVG that only show something.
var drawn = map[string]bool{
	"svg": true, "g": true, "title": true, "desc": true, "defs": true, "clipPath": true,
	"path": true, "rect": true, "circle": true, "ellipse": true, "line": true, "polyline": true, "polygon": true,
	"text": true, "tspan": true,
}

// Drawing is the SVG as it stands within a page: the element without what comes
// before it in a document. One that does more than draw is an error.
func (p Picture) Drawing() (template.HTML, error) {
	reader := xml.NewDecoder(bytes.NewReader(p.SVG))
	begin := int64(-1)
	for {
		before := reader.InputOffset()
		token, err := reader.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			return "", fmt.Errorf("picture: %w", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if begin < 0 && token.Name.Local != "svg" {
				return "", fmt.Errorf("picture: found <%s>; want an SVG document", token.Name.Local)
			}
			if begin < 0 {
				begin = before
			}
			if err := onlyDraws(token); err != nil {
				return "", err
			}
		case xml.Directive, xml.Comment:
			if begin >= 0 {
				return "", errors.New("picture: found a comment or a directive; want elements and texts alone")
			}
		}
	}
	if begin < 0 {
		return "", errors.New("picture: found no element; want an SVG document")
	}
	return template.HTML(strings.TrimSpace(string(p.SVG[begin:]))), nil
}

// onlyDraws refuses an element, or an attribute of it, that runs or fetches.
func onlyDraws(e xml.StartElement) error {
	if !drawn[e.Name.Local] {
		return fmt.Errorf("picture: found <%s>; want elements that only draw", e.Name.Local)
	}
	for _, a := range e.Attr {
		value := strings.ToLower(a.Value)
		fetches := strings.Contains(value, "url(") && !strings.Contains(value, "url(#") || strings.Contains(value, "javascript:")
		spoken := a.Name.Local == "aria-label"
		if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || a.Name.Local == "href" || fetches && !spoken {
			return fmt.Errorf("picture: found %s=%.40q at <%s>; want attributes that only draw", a.Name.Local, a.Value, e.Name.Local)
		}
	}
	return nil
}
