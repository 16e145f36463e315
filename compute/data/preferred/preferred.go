// Package preferred finds the standard values of resistors and capacitors:
// the E series of IEC 60063 from E3 to E192.
//
// It assumes nothing about units: a value is any positive number, and the
// answer is in the same unit.
package preferred

import (
	"math"
	"sync"
)

// Series is the number of values in a decade: 3, 6, 12, 24, 48, 96 or 192.
type Series int

// The series of IEC 60063.
const (
	E3   Series = 3
	E6   Series = 6
	E12  Series = 12
	E24  Series = 24
	E48  Series = 48
	E96  Series = 96
	E192 Series = 192
)

// e24 is printed in IEC 60063 with eight values that differ from the rounded
// 10^(i/24): 27 30 33 36 39 43 47 and 82. E12, E6 and E3 are taken from it.
var e24 = [24]int{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
	33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}

// same is the relative difference below which a computed value counts as the
// standard value itself, so that rounding errors do not move a part by a step.
const same = 1e-9

// Valid reports whether s is one of the seven series.
func (s Series) Valid() bool {
	switch s {
	case E3, E6, E12, E24, E48, E96, E192:
		return true
	}
	return false
}

// Values lists the values of one decade as whole numbers, two digits
// (10 to 91) up to E24 and three digits (100 to 988) from E48 on, ascending.
// The list of an unknown series is empty.
func (s Series) Values() []int {
	if !s.Valid() {
		return nil
	}
	list := make([]int, int(s))
	if s <= E24 {
		step := 24 / int(s)
		for i := range list {
			list[i] = e24[i*step]
		}
		return list
	}
	for i := range list {
		list[i] = int(math.Round(100 * math.Pow(10, float64(i)/float64(s))))
		if list[i] == 919 && s == E192 {
			list[i] = 920 // the one printed exception (IEC 60063, from memory)
		}
	}
	return list
}

// decades keeps the values of each series as three-digit numbers.
var decades = sync.OnceValue(func() map[Series][]int {
	all := make(map[Series][]int, 7)
	for _, s := range []Series{E3, E6, E12, E24, E48, E96, E192} {
		list := s.Values()
		if s <= E24 {
			for i := range list {
				list[i] *= 10
			}
		}
		all[s] = list
	}
	return all
})

// neighbours returns the largest value not above v and the smallest not below
// v; both are the same number when v is a value of the series.
func (s Series) neighbours(v float64) (down, up float64) {
	if !s.Valid() || !(v > 0) || math.IsInf(v, 0) {
		return math.NaN(), math.NaN()
	}
	list := decades()[s]
	exponent := int(math.Floor(math.Log10(v))) - 2
	below := scale(list[len(list)-1], exponent-1)
	for e := exponent; e <= exponent+1; e++ {
		for _, m := range list {
			value := scale(m, e)
			if math.Abs(value-v) <= same*v {
				return value, value
			}
			if value > v {
				return below, value
			}
			below = value
		}
	}
	return below, scale(list[0], exponent+2)
}

// scale gives m·10^e as the float nearest to the decimal number.
func scale(m, e int) float64 {
	if e < 0 {
		return float64(m) / math.Pow10(-e)
	}
	return float64(m) * math.Pow10(e)
}

// Nearest is the value of the series with the smallest ratio to v, that is
// the smallest error in per cent. NaN for v ≤ 0 or an unknown series.
func (s Series) Nearest(v float64) float64 {
	down, up := s.neighbours(v)
	if v/down < up/v {
		return down
	}
	return up
}

// Up is the smallest value of the series that is not below v. NaN for v ≤ 0
// or an unknown series.
func (s Series) Up(v float64) float64 {
	_, up := s.neighbours(v)
	return up
}

// Down is the largest value of the series that is not above v. NaN for v ≤ 0
// or an unknown series.
func (s Series) Down(v float64) float64 {
	down, _ := s.neighbours(v)
	return down
}
