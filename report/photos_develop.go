package report

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"

	"anodebook/spec"
)

const (
	photoSide    = 1600       // longer side of a photograph in the notebook [px]
	photoQuality = 85         // of the JPEG, 1 to 100
	photoPixels  = 40_000_000 // greatest number of pixels that is read
	photoLongest = 30_000     // greatest width or height that is read [px]
)

// photoError says what is wrong with the file of a photograph.
type photoError struct{ what, hint string }

func (e photoError) Error() string { return e.what }

// CheckPhoto looks at the head of a photograph's file: its type and its size.
// It returns nothing where both will do.
func CheckPhoto(content []byte) (what, hint string) {
	if _, err := photoKind(content); err != nil {
		return err.(photoError).what, err.(photoError).hint
	}
	return "", ""
}

// photoKind returns the function that reads the picture.
func photoKind(content []byte) (func() (image.Image, error), error) {
	const saveAs = "open it in a picture program and save it as JPEG"
	var c image.Config
	var err error
	var read func() (image.Image, error)
	switch {
	case len(content) > spec.MaxPhoto:
		return nil, photoError{fmt.Sprintf("%d bytes; the limit is %d", len(content), spec.MaxPhoto),
			"save it smaller: the notebook shows 1600 points across"}
	case bytes.HasPrefix(content, []byte("\xff\xd8\xff")):
		c, err = jpeg.DecodeConfig(bytes.NewReader(content))
		read = func() (image.Image, error) { return jpeg.Decode(bytes.NewReader(content)) }
	case bytes.HasPrefix(content, []byte("\x89PNG\r\n\x1a\n")):
		c, err = png.DecodeConfig(bytes.NewReader(content))
		read = func() (image.Image, error) { return png.Decode(bytes.NewReader(content)) }
	default:
		return nil, photoError{"neither a JPEG nor a PNG picture", saveAs}
	}
	switch {
	case err != nil:
		return nil, photoError{"a damaged picture: " + err.Error(), saveAs}
	case c.Width < 1 || c.Height < 1:
		return nil, photoError{"an empty picture", saveAs}
	case c.Width > photoLongest || c.Height > photoLongest || c.Width*c.Height > photoPixels:
		return nil, photoError{fmt.Sprintf("%d × %d points; the limit is 40 million, and 30000 on a side", c.Width, c.Height),
			"save it smaller: the notebook shows 1600 points across"}
	}
	return read, nil
}

// developPhoto reads a picture, makes it no larger than the notebook shows it,
// turns it upright, and writes it as JPEG. Nothing else of the file comes
// along: not the place, the time and the camera that it may tell of.
func developPhoto(content []byte) ([]byte, error) {
	read, err := photoKind(content)
	if err != nil {
		return nil, err
	}
	src, err := read()
	if err != nil {
		return nil, photoError{"a damaged picture: " + err.Error(),
			"copy it anew from the camera, or open it in a picture program and save it as JPEG"}
	}
	var out bytes.Buffer
	err = jpeg.Encode(&out, turn(shrink(src, photoSide), orientation(content)), &jpeg.Options{Quality: photoQuality})
	return out.Bytes(), err
}

// shrink scales a picture on white so that its longer side is no more than
// most [px]: each point becomes the mean of the area that it covers. The sums
// are whole numbers, so that every machine gives the same bytes.
func shrink(src image.Image, most int) *image.RGBA {
	box := src.Bounds()
	sw, sh := box.Dx(), box.Dy()
	dw, dh := sw, sh
	if longest := max(sw, sh); longest > most {
		dw, dh = max(1, (sw*most+longest/2)/longest), max(1, (sh*most+longest/2)/longest)
	}
	out := image.NewRGBA(image.Rect(0, 0, dw, dh))
	row := image.NewRGBA(image.Rect(0, 0, sw, 1))
	line, sum := make([]uint64, 3*dw), make([]uint64, 3*dw)
	white := image.NewUniform(color.White)
	y := 0 // of out
	for sy := range sh {
		draw.Draw(row, row.Rect, white, image.Point{}, draw.Src)
		draw.Draw(row, row.Rect, src, image.Pt(box.Min.X, box.Min.Y+sy), draw.Over)
		clear(line)
		shareOut(sw, dw, func(from, to int, weight uint64) {
			for c := range 3 {
				line[3*to+c] += weight * uint64(row.Pix[4*from+c])
			}
		})
		// the source row covers [sy·dh, (sy+1)·dh), the row y of out [y·sh, (y+1)·sh)
		for low := sy * dh; low < (sy+1)*dh; {
			high := min((sy+1)*dh, (y+1)*sh)
			for i := range sum {
				sum[i] += uint64(high-low) * line[i]
			}
			if low = high; high == (y+1)*sh {
				whole := uint64(sw) * uint64(sh)
				for x := range dw {
					for c := range 3 {
						out.Pix[out.PixOffset(x, y)+c] = uint8((sum[3*x+c] + whole/2) / whole)
					}
					out.Pix[out.PixOffset(x, y)+3] = 255
				}
				clear(sum)
				y++
			}
		}
	}
	return out
}

// shareOut tells which points of a row of n go into which of m, m no more than
// n, and with which weight; the weights of each of the m add up to n.
func shareOut(n, m int, add func(from, to int, weight uint64)) {
	to := 0
	for from := range n {
		for low := from * m; low < (from+1)*m; {
			high := min((from+1)*m, (to+1)*n)
			add(from, to, uint64(high-low))
			if low = high; high == (to+1)*n {
				to++
			}
		}
	}
}

// turn sets a picture upright as the camera's note on its orientation says,
// 1 to 8 (Exif 2.3, tag 0112).
func turn(src *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if orientation >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			tx, ty := x, y
			switch orientation {
			case 2:
				tx = w - 1 - x
			case 3:
				tx, ty = w-1-x, h-1-y
			case 4:
				ty = h - 1 - y
			case 5:
				tx, ty = y, x
			case 6:
				tx, ty = h-1-y, x
			case 7:
				tx, ty = h-1-y, w-1-x
			case 8:
				tx, ty = y, w-1-x
			}
			copy(out.Pix[out.PixOffset(tx, ty):][:4], src.Pix[src.PixOffset(x, y):])
		}
	}
	return out
}

// orientation reads the orientation out of the Exif block of a JPEG; 1, the
// usual one, where there is none or it cannot be read.
func orientation(jpg []byte) int {
	for at := 2; at+4 <= len(jpg) && jpg[at] == 0xff; {
		marker, size := jpg[at+1], int(binary.BigEndian.Uint16(jpg[at+2:]))
		if marker == 0xda || size < 2 || at+2+size > len(jpg) { // picture data begin, or nonsense
			return 1
		}
		if block, ok := bytes.CutPrefix(jpg[at+4:at+2+size], []byte("Exif\x00\x00")); marker == 0xe1 && ok {
			return tiffOrientation(block)
		}
		at += 2 + size
	}
	return 1
}

func tiffOrientation(b []byte) int {
	var order binary.ByteOrder
	switch {
	case bytes.HasPrefix(b, []byte("II*\x00")):
		order = binary.LittleEndian
	case bytes.HasPrefix(b, []byte("MM\x00*")):
		order = binary.BigEndian
	}
	if order == nil || len(b) < 8 {
		return 1
	}
	at := int64(order.Uint32(b[4:]))
	if at+2 > int64(len(b)) {
		return 1
	}
	entries := int64(order.Uint16(b[at:]))
	for i := range entries {
		e := at + 2 + 12*i
		if e+12 > int64(len(b)) {
			return 1
		}
		if order.Uint16(b[e:]) == 0x0112 && order.Uint16(b[e+2:]) == 3 {
			return int(order.Uint16(b[e+8:]))
		}
	}
	return 1
}
