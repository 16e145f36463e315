package touchstone

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"
)

// Format says how a file is written. The zero value is version 1.1 in Hz,
// magnitude and angle, every digit.
type Format struct {
	Version  int      // 1 or 2; 0 = 1
	Form     Form     // of the complex numbers
	Unit     float64  // of the frequencies: 1, 1e3, 1e6 or 1e9 [Hz]; 0 = 1
	Digits   int      // significant digits of the parameters; 0 = as many as give the same number again
	Comments []string // at the head of the file, a line each, ASCII
}

// Write writes the data as text. Errors: data that is not finite or in order,
// a comment that is not one line of ASCII, in version 1 two ports with
// different references, in decibels a parameter of zero.
func (d *Data) Write(f Format) ([]byte, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	if len(d.Points) == 0 {
		return nil, errors.New("touchstone: nothing to write")
	}
	unit, known := map[float64]string{0: "Hz", 1: "Hz", 1e3: "kHz", 1e6: "MHz", 1e9: "GHz"}[f.Unit]
	if !known || f.Version < 0 || f.Version > 2 || f.Form > RI {
		return nil, errors.New("touchstone: unknown unit, version or form")
	}
	scale := math.Max(f.Unit, 1)
	two := f.Version == 2
	if !two && d.Ports == 2 && d.Reference[0] != d.Reference[1] {
		return nil, errors.New("touchstone: version 1 has one reference resistance for all ports")
	}
	var b bytes.Buffer
	for _, c := range f.Comments {
		if strings.ContainsFunc(c, func(r rune) bool { return r < ' ' || r > '~' }) {
			return nil, fmt.Errorf("touchstone: the comment %q is not one line of ASCII", c)
		}
		b.WriteString(strings.TrimRight("! "+c, " ") + "\n")
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	if two {
		b.WriteString("[Version] 2.0\n")
	}
	fmt.Fprintf(&b, "# %s %c %s R %s\n", unit, d.Kind, [...]string{"MA", "DB", "RI"}[f.Form], number(d.Reference[0]))
	if two {
		fmt.Fprintf(&b, "[Number of Ports] %d\n", d.Ports)
		if d.Ports == 2 {
			b.WriteString("[Two-Port Data Order] 21_12\n")
		}
		fmt.Fprintf(&b, "[Number of Frequencies] %d\n[Reference] %s", len(d.Points), number(d.Reference[0]))
		if d.Ports == 2 {
			b.WriteString(" " + number(d.Reference[1]))
		}
		b.WriteString("\n[Network Data]\n")
	}
	row := make([]byte, 0, 256)
	digits := -1
	if f.Digits > 0 {
		digits = f.Digits - 1
	}
	for i := range d.Points {
		p := &d.Points[i]
		m := p.Matrix
		if !two {
			m = m.scale(d.Kind, 1/d.Reference[0])
		}
		row = strconv.AppendFloat(row[:0], p.Frequency/scale, 'g', -1, 64)
		values := [4]complex128{m[0][0], m[1][0], m[0][1], m[1][1]}
		for _, v := range values[:d.Ports*d.Ports] {
			x, y := real(v), imag(v)
			if f.Form != RI {
				x, y = cmplx.Abs(v), cmplx.Phase(v)*180/math.Pi
			}
			if f.Form == DB {
				if x == 0 {
					return nil, fmt.Errorf("touchstone: a parameter of zero at %g Hz has no decibels", p.Frequency)
				}
				x = 20 * math.Log10(x)
			}
			row = strconv.AppendFloat(append(row, ' '), x, 'e', digits, 64)
			row = strconv.AppendFloat(append(row, ' '), y, 'e', digits, 64)
		}
		b.Write(append(row, '\n'))
	}
	if two {
		b.WriteString("[End]\n")
	}
	return b.Bytes(), nil
}
