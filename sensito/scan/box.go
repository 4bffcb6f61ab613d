package scan

import (
	"encoding/json"
	"fmt"

	"example.org/actinic/internal/check"
)

// Box is a rectangle of a picture in pixels, from its top left corner. Its text is the
// JSON list [x, y, width, height].
type Box struct{ X, Y, Width, Height int }

// String prints "[x, y, width, height]".
func (b Box) String() string { return fmt.Sprintf("[%d, %d, %d, %d]", b.X, b.Y, b.Width, b.Height) }

// MarshalJSON writes the list of four.
func (b Box) MarshalJSON() ([]byte, error) {
	return json.Marshal([]int{b.X, b.Y, b.Width, b.Height})
}

// UnmarshalJSON reads a list of four whole numbers. The error wraps [ErrInput].
func (b *Box) UnmarshalJSON(text []byte) error {
	var v []int
	if err := json.Unmarshal(text, &v); err != nil || len(v) != 4 {
		return check.Errorf(ErrInput, "a box %s, want [x, y, width, height] in whole pixels from the top left", text)
	}
	*b = Box{v[0], v[1], v[2], v[3]}
	return nil
}

// within refuses a box that is empty or not inside a picture.
func (b Box) within(width, height int) error {
	if b.Width < 1 || b.Height < 1 {
		return check.Errorf(ErrInput, "box %v is empty; want [x, y, width, height]", b)
	}
	if b.X < 0 || b.Y < 0 || b.X > width-b.Width || b.Y > height-b.Height || b.Width > width || b.Height > height {
		return check.Errorf(ErrInput, "box %v lies outside the picture of %d × %d pixels", b, width, height)
	}
	return nil
}

// holds reports whether the box has all of another.
func (b Box) holds(c Box) bool {
	return c.X >= b.X && c.Y >= b.Y && c.X+c.Width <= b.X+b.Width && c.Y+c.Height <= b.Y+b.Height
}

// Inset returns the box without a margin, as a share of its width and height on each side;
// a box that would be empty keeps its middle pixel.
func (b Box) Inset(share float64) Box {
	mx, my := min(int(share*float64(b.Width)+0.5), (b.Width-1)/2), min(int(share*float64(b.Height)+0.5), (b.Height-1)/2)
	return Box{b.X + mx, b.Y + my, b.Width - 2*mx, b.Height - 2*my}
}
