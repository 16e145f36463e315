package report

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"anodebook/compute"
	"anodebook/report/page"
	"anodebook/spec"
	"anodebook/spec/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// quarters is a picture of four plain colours: red, green above blue, white.
func quarters(w, h int) *image.NRGBA {
	p := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.NRGBA{255, 0, 0, 255}
			switch {
			case x >= w/2 && y < h/2:
				c = color.NRGBA{0, 255, 0, 255}
			case x < w/2 && y >= h/2:
				c = color.NRGBA{0, 0, 255, 255}
			case x >= w/2:
				c = color.NRGBA{255, 255, 255, 255}
			}
			p.SetNRGBA(x, y, c)
		}
	}
	return p
}

func asPNG(t *testing.T, p image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, p))
	return b.Bytes()
}

func asJPEG(t *testing.T, p image.Image) []byte {
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, p, &jpeg.Options{Quality: 95}))
	return b.Bytes()
}

// withExif puts an Exif block behind the head of a JPEG: the orientation, and
// words that stand for the place where it was taken.
func withExif(jpg []byte, orientation uint16, order binary.AppendByteOrder) []byte {
	tiff := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		tiff = []byte("MM\x00*")
	}
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 2)
	for _, e := range [][2]uint16{{0x010f, 0}, {0x0112, orientation}} {
		tiff = order.AppendUint16(tiff, e[0])
		tiff = order.AppendUint16(tiff, 3)
		tiff = order.AppendUint32(tiff, 1)
		tiff = order.AppendUint16(tiff, e[1])
		tiff = order.AppendUint16(tiff, 0)
	}
	block := append([]byte("Exif\x00\x00"), append(tiff, "51.5N 0.1W secret place"...)...)
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(block)+2))
	return append(append(head, block...), jpg[2:]...)
}

// corner is the colour in the middle of a quarter, by its strongest channels.
func corner(p image.Image, right, below bool) string {
	b := p.Bounds()
	x, y := b.Min.X+b.Dx()/4, b.Min.Y+b.Dy()/4
	if right {
		x += b.Dx() / 2
	}
	if below {
		y += b.Dy() / 2
	}
	r, g, bl, _ := p.At(x, y).RGBA()
	out := ""
	for i, v := range []uint32{r, g, bl} {
		if v > 0x8000 {
			out += "rgb"[i : i+1]
		}
	}
	return out
}

func TestPhotosAreTurnedUprightAndStripped(t *testing.T) {
	plain := asJPEG(t, quarters(64, 32))
	// what stands where after turning: top left, top right, bottom left, bottom right (Exif 2.3, orientation)
	for o, want := range map[uint16][4]string{
		0: {"r", "g", "b", "rgb"}, 1: {"r", "g", "b", "rgb"}, 2: {"g", "r", "rgb", "b"}, 3: {"rgb", "b", "g", "r"},
		4: {"b", "rgb", "r", "g"},
		5: {"r", "b", "g", "rgb"}, 6: {"b", "r", "rgb", "g"}, 7: {"rgb", "g", "b", "r"}, 8: {"g", "rgb", "r", "b"},
		9: {"r", "g", "b", "rgb"},
	} {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			made, err := developPhoto(withExif(plain, o, order))
			require.NoError(t, err)
			testhelp.Lacks(t, string(made), "secret")
			testhelp.Lacks(t, string(made), "Exif")
			p, err := jpeg.Decode(bytes.NewReader(made))
			require.NoError(t, err)
			assert.Equal(t, want, [4]string{corner(p, false, false), corner(p, true, false), corner(p, false, true),
				corner(p, true, true)}, "orientation %d", o)
			assert.Equal(t, o >= 5 && o <= 8, p.Bounds().Dx() < p.Bounds().Dy(), "orientation %d", o)
		}
	}
}

// TestShrinkKeepsTheMean: an area's mean is what survives any scaling; and a
// picture that is small enough stays as it is.
func TestShrinkKeepsTheMean(t *testing.T) {
	for _, size := range [][2]int{{3201, 7}, {5, 1999}, {1601, 1600}, {1600, 900}, {1, 1}, {30000, 1}} {
		src := image.NewGray(image.Rect(3, 5, 3+size[0], 5+size[1]))
		var sum float64
		for i := range src.Pix {
			src.Pix[i] = uint8(i * 37)
			sum += float64(src.Pix[i])
		}
		out := shrink(src, 1600)
		assert.LessOrEqual(t, max(out.Rect.Dx(), out.Rect.Dy()), 1600)
		assert.GreaterOrEqual(t, min(out.Rect.Dx(), out.Rect.Dy()), 1)
		var got float64
		for i := 0; i < len(out.Pix); i += 4 {
			got += float64(out.Pix[i])
			if out.Pix[i+3] != 255 {
				require.Equal(t, uint8(255), out.Pix[i+3])
			}
		}
		assert.InDelta(t, sum/float64(len(src.Pix)), got/float64(len(out.Pix)/4), 0.5, size)
		if max(size[0], size[1]) <= 1600 {
			for y := range size[1] {
				for x := range size[0] {
					if want, have := src.GrayAt(3+x, 5+y).Y, out.RGBAAt(x, y).R; want != have {
						require.Equal(t, want, have, "%d, %d", x, y)
					}
				}
			}
		}
	}
	clear := shrink(image.NewNRGBA(image.Rect(0, 0, 2, 2)), 1600)
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, clear.RGBAAt(1, 1), "what is transparent stands on white paper")
}

// pngHead is the head of a PNG that says how large it is and holds nothing.
func pngHead(w, h uint32) []byte {
	b := []byte("\x89PNG\r\n\x1a\n")
	chunk := binary.BigEndian.AppendUint32([]byte("IHDR"), w)
	chunk = append(binary.BigEndian.AppendUint32(chunk, h), 8, 6, 0, 0, 0)
	b = append(binary.BigEndian.AppendUint32(b, 13), chunk...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(chunk))
}

func TestHostilePhotos(t *testing.T) {
	good := asJPEG(t, quarters(64, 32))
	for name, c := range map[string]struct {
		content []byte
		want    string
		late    bool // found only when the whole is read
	}{
		"empty": {[]byte{}, "neither a JPEG nor a PNG", false},
		"gif":   {[]byte("GIF89a\x01\x00\x01\x00\x00\x00\x00"), "neither a JPEG nor a PNG", false},
		"drawing": {[]byte("<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"),
			"neither a JPEG nor a PNG", false},
		"bomb":           {pngHead(100_000, 100_000), "100000 × 100000 points", false},
		"long":           {pngHead(30_001, 1), "30001 × 1 points", false},
		"forty megas":    {pngHead(8000, 5001), "8000 × 5001 points", false},
		"negative":       {pngHead(1<<31, 1), "a damaged picture", false},
		"head only":      {pngHead(100, 100), "a damaged picture", true},
		"jpeg head":      {[]byte("\xff\xd8\xff"), "a damaged picture", false},
		"cut jpeg":       {good[:len(good)-20], "a damaged picture", true},
		"cut png":        {asPNG(t, quarters(64, 32))[:60], "a damaged picture", true},
		"too many bytes": {append(good, make([]byte, spec.MaxPhoto)...), "bytes; the limit is", false},
	} {
		what, hint := CheckPhoto(c.content)
		if c.late {
			assert.Empty(t, what, name)
		} else {
			testhelp.Contains(t, what, c.want, name)
			assert.NotEmpty(t, hint, name)
		}
		_, err := developPhoto(c.content)
		assert.ErrorContains(t, err, c.want, name)
	}
}

func FuzzDevelopPhoto(f *testing.F) {
	var jpg, pn bytes.Buffer
	require.NoError(f, jpeg.Encode(&jpg, quarters(16, 8), nil))
	require.NoError(f, png.Encode(&pn, quarters(16, 8)))
	f.Add(withExif(jpg.Bytes(), 6, binary.LittleEndian))
	f.Add(withExif(jpg.Bytes(), 3, binary.BigEndian))
	f.Add(pn.Bytes())
	f.Fuzz(func(t *testing.T, content []byte) {
		if read, err := photoKind(content); err != nil || read == nil {
			return
		}
		if c, _, err := image.DecodeConfig(bytes.NewReader(content)); err != nil || c.Width*c.Height > 1<<20 {
			return // right, but slow
		}
		made, err := developPhoto(content)
		if err != nil {
			return
		}
		p, err := jpeg.Decode(bytes.NewReader(made))
		require.NoError(t, err)
		require.LessOrEqual(t, max(p.Bounds().Dx(), p.Bounds().Dy()), photoSide)
	})
}

const photoSpec = smallSpec + `[photo.cycle]
file = "a.png"
alt = 'Front panel "left" (of two) | <b>'
caption = 'As found](x "y) *on* $x$'
[photo.front]
file = "b.jpg"
alt = "chassis from below"
section = "tank"
[photo.back]
file = "b.jpg"
alt = "the same once more"
section = "tank"
`

// withPhotos reads a spec whose photographs are those.
func withPhotos(t *testing.T, src string, files map[string][]byte) *compute.Design {
	t.Helper()
	s, err := spec.Read("photos.toml", []byte(src), compute.Names())
	require.NoError(t, err)
	for n, p := range s.Photo {
		p.File.Content = files[p.File.Name]
		s.Photo[n] = p
	}
	d, err := compute.Run(s)
	require.NoError(t, err)
	return d
}

func TestPhotosStandInTheirSections(t *testing.T) {
	files := map[string][]byte{"a.png": asPNG(t, quarters(40, 20)), "b.jpg": asJPEG(t, quarters(1700, 1200))}
	d := withPhotos(t, photoSpec, files)
	made, err := FilesOf(d, Options{Forms: []Form{Article}})
	require.NoError(t, err)
	again, err := FilesOf(withPhotos(t, photoSpec, files), Options{Forms: []Form{Article}})
	require.NoError(t, err)
	assert.True(t, bytes.Equal(made["report.html"], again["report.html"]), "the same bytes")
	for _, n := range []string{"cycle", "front", "back"} {
		c, err := jpeg.DecodeConfig(bytes.NewReader(made["photos/"+n+".jpg"]))
		require.NoError(t, err, n)
		assert.LessOrEqual(t, c.Width, 1600)
	}
	md := string(made["report.md"])
	title, tank, after := strings.Index(md, "photos/cycle.jpg"), strings.Index(md, "photos/front.jpg"), strings.Index(md,
		"photos/back.jpg")
	assert.Less(t, title, strings.Index(md, "## Verdict"))
	assert.Less(t, strings.Index(md, "\n## Tank\n"), tank)
	assert.Less(t, tank, after, "in the order of the spec")
	assert.Less(t, after, strings.Index(md, "#### Derivation: tank"))
	html := string(made["report.html"])
	assert.Equal(t, 3, strings.Count(html, `src="data:image/jpeg;base64,`))
	assert.True(t, strings.Contains(html, `alt="Front panel &#34;left&#34; (of two) | &lt;b&gt;"`),
		"the words for those who cannot see it")
	assert.True(t, strings.Contains(html, `<figcaption>As found](x &quot;y) *on* $x$</figcaption>`), "a caption is text")
	assert.True(t, strings.Contains(html, `<figcaption>chassis from below</figcaption>`),
		"the words stand for a caption that is not written")
	assert.Empty(t, page.Dangling(made["report.html"]))
	assert.True(t, strings.Contains(string(made["article.html"]), `src="data:image/jpeg`))
}

func TestDamagedPhotoIsNamed(t *testing.T) {
	good := asJPEG(t, quarters(64, 32))
	_, err := FilesOf(withPhotos(t, photoSpec, map[string][]byte{"a.png": pngHead(9, 9), "b.jpg": good[:len(good)/2]}), Options{})
	var problems spec.Problems
	require.ErrorAs(t, err, &problems)
	require.Len(t, problems, 3)
	for _, p := range problems {
		testhelp.Matches(t, `^photos\.toml:\d+:\d+: photo\.[a-z]+\.file: "[ab]\.(png|jpg)": a damaged picture`, p.Error())
		assert.NotEmpty(t, p.Hint)
	}
}

func BenchmarkDevelopPhoto(b *testing.B) {
	var jpg bytes.Buffer
	require.NoError(b, jpeg.Encode(&jpg, quarters(4000, 3000), nil))
	for b.Loop() {
		_, err := developPhoto(jpg.Bytes())
		require.NoError(b, err)
	}
}
