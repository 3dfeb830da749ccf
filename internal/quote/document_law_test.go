package quote

import (
	"bytes"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/govalues/decimal"
	"github.com/gowebpki/jcs"
	"pgregory.net/rapid"

	"wattle/internal/civil"
	"wattle/internal/cutting"
	"wattle/internal/layout"
	"wattle/internal/measure"
	"wattle/internal/site"
	"wattle/internal/takeoff"
	"wattle/internal/timber"
)

var decimals = cmp.Comparer(func(a, b decimal.Decimal) bool { return a.Cmp(b) == 0 })

// Whatever a request and a quote hold, in any field, is read back to the letter,
// and written again to the byte. Fields are found by reflection: one that is new
// and that documents do not know fails here.
func TestDocumentLaw(t *testing.T) {
	prices := market([]string{"gravel", "post-4x4-8ft"}, "1")
	rapid.Check(t, func(t *rapid.T) {
		r, q := drawAny[Request](t), drawAny[Quote](t)
		r.RulesVersion, r.Prices = RulesVersion, prices
		doc := Document(r, &q)
		if want, err := jcs.Transform(doc); err != nil || !bytes.Equal(doc, want) {
			t.Fatalf("not canonical (%v): %s", err, doc)
		}
		back, again, err := ParseDocument(doc)
		if err != nil {
			t.Fatal(err)
		}
		told := cmp.Options{
			decimals, cmpopts.IgnoreUnexported(takeoff.Boarding{}),
			cmpopts.IgnoreFields(cutting.Plan{}, "Nodes"), // how a plan was found, not what it is
		}
		if d := cmp.Diff(r, back, told) + cmp.Diff(&q, again, told); d != "" {
			t.Fatal(d)
		}
		if !bytes.Equal(Document(back, again), doc) {
			t.Fatalf("written again it is another document than %s", doc)
		}
	})
}

// drawAny draws a value of any type a document is made of: every exported field,
// zero or not, lists of up to two, pointers that may be nil.
func drawAny[T any](t *rapid.T) T {
	var value T
	fillAny(t, reflect.ValueOf(&value).Elem())
	return value
}

func fillAny(t *rapid.T, v reflect.Value) {
	switch x := v.Addr().Interface().(type) {
	case *decimal.Decimal:
		*x = decimal.MustNew(rapid.Int64Range(-9_999, 9_999).Draw(t, "decimal"), rapid.IntRange(0, 4).Draw(t, "scale"))
		return
	case *civil.Date:
		if rapid.Bool().Draw(t, "dated") {
			*x = civil.Must("2026-03-02").AddDays(rapid.IntRange(0, 999).Draw(t, "days"))
		}
		return
	case *site.Side:
		*x = rapid.SampledFrom([]site.Side{site.Left, site.Right}).Draw(t, "side")
		return
	case *site.Hinge:
		*x = rapid.SampledFrom([]site.Hinge{site.HingeStart, site.HingeFinish}).Draw(t, "hinge")
		return
	case *layout.Role:
		*x = rapid.SampledFrom(layout.Roles()).Draw(t, "role")
		return
	case *layout.CornerKind:
		*x = rapid.SampledFrom([]layout.CornerKind{layout.NoCorner, layout.OutsideCorner, layout.InsideCorner}).Draw(t, "corner")
		return
	case *measure.Length, *measure.Angle, *timber.Moisture:
		v.SetInt(rapid.Int64Range(-1_000, 1_000).Draw(t, v.Type().Name()))
		return
	}
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "bool"))
	case reflect.String:
		v.SetString(rapid.StringN(0, 8, 32).Draw(t, "text"))
	case reflect.Int, reflect.Int32, reflect.Int64:
		v.SetInt(int64(rapid.IntRange(0, 99).Draw(t, "int")))
	case reflect.Uint8:
		v.SetUint(uint64(rapid.Byte().Draw(t, "byte")))
	case reflect.Pointer:
		// A quote has a layout, a take-off and cut plans; all else may be absent.
		if neverNil(v.Interface()) || rapid.Bool().Draw(t, "given") {
			v.Set(reflect.New(v.Type().Elem()))
			fillAny(t, v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fillAny(t, v.Field(i))
			}
		}
	case reflect.Array:
		for i := range v.Len() {
			fillAny(t, v.Index(i))
		}
	case reflect.Slice:
		if n := rapid.IntRange(0, 2).Draw(t, "some"); n > 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
			for i := range n {
				fillAny(t, v.Index(i))
			}
		}
	case reflect.Map:
		for range rapid.IntRange(0, 2).Draw(t, "names") {
			if v.IsNil() {
				v.Set(reflect.MakeMap(v.Type()))
			}
			value := reflect.New(v.Type().Elem()).Elem()
			fillAny(t, value)
			name := rapid.StringMatching(`[a-z0-9._-]{0,8}`).Draw(t, "name")
			if value.Kind() == reflect.Int {
				name = rapid.SampledFrom([]string{"8d", "16d"}).Draw(t, "nail")
			}
			v.SetMapIndex(reflect.ValueOf(name), value)
		}
	default:
		t.Fatalf("no way to draw a %s", v.Type())
	}
}

func neverNil(pointer any) bool {
	switch pointer.(type) {
	case *layout.Layout, *takeoff.Takeoff, *cutting.Plan:
		return true
	}
	return false
}
