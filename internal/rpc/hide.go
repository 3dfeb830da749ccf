package rpc

import (
	middleware "github.com/grpc-ecosystem/go-grpc-middleware/v2"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	wattlev1 "wattle/api/wattle/v1"
	"wattle/internal/auth"
	"wattle/internal/fault"
)

// costFields are the fields that tell what a job costs us, and so our margin. A
// reader gets every answer without them, whatever method it is of.
var costFields = map[protoreflect.FullName]bool{
	"wattle.v1.Quote.custom_lines":                  true, // amounts before overhead and profit
	"wattle.v1.Quote.pricing":                       true,
	"wattle.v1.QuoteLine.unit_price":                true,
	"wattle.v1.QuoteLine.supplier":                  true,
	"wattle.v1.QuoteLine.effective_date":            true,
	"wattle.v1.QuoteLine.entry_revision":            true,
	"wattle.v1.QuoteLine.cost":                      true,
	"wattle.v1.QuoteTotals.material":                true,
	"wattle.v1.QuoteTotals.labour":                  true,
	"wattle.v1.QuoteTotals.equipment":               true,
	"wattle.v1.QuoteTotals.subcontract":             true,
	"wattle.v1.QuoteTotals.cost":                    true,
	"wattle.v1.QuoteTotals.overhead":                true,
	"wattle.v1.QuoteTotals.profit":                  true,
	"wattle.v1.QuoteTotals.taxable":                 true, // may be the cost of material
	"wattle.v1.PerFoot.material_net":                true,
	"wattle.v1.PerFoot.material_with_gates":         true,
	"wattle.v1.CutPlan.cost":                        true,
	"wattle.v1.CutPlan.lower_bound":                 true,
	"wattle.v1.CutPlan.Stock.price":                 true,
	"wattle.v1.MaterialUsed.paid":                   true,
	"wattle.v1.Actuals.labour_paid":                 true,
	"wattle.v1.ActualsLine.estimated_cost":          true,
	"wattle.v1.ActualsLine.paid":                    true,
	"wattle.v1.ActualsLine.cost_difference":         true,
	"wattle.v1.ActualsGroup.entries":                true, // rows of the book
	"wattle.v1.OfficeSettings.margin_floor_percent": true,
}

// hideCost clears them in an answer to a reader.
func hideCost(c auth.Caller, answer any) {
	if m, ok := answer.(proto.Message); ok && c.Role == auth.Reader {
		clearCost(m.ProtoReflect())
	}
}

func clearCost(m protoreflect.Message) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case costFields[f.FullName()]:
			m.Clear(f)
		case f.IsMap() || f.Message() == nil:
		case f.IsList():
			for i := range v.List().Len() {
				clearCost(v.List().Get(i).Message())
			}
		default:
			clearCost(v.Message())
		}
		return true
	})
}

// hidingStream is hideCost for a stream's answers.
type hidingStream struct {
	*middleware.WrappedServerStream
	caller auth.Caller
}

func (s hidingStream) SendMsg(m any) error {
	hideCost(s.caller, m)
	return s.WrappedServerStream.SendMsg(m)
}

// mayRender refuses a reader the documents that show costs, and the price letter,
// which asks the price book.
func mayRender(c auth.Caller, format wattlev1.RenderQuoteRequest_Format) error {
	switch format {
	case wattlev1.RenderQuoteRequest_FORMAT_UNSPECIFIED, wattlev1.RenderQuoteRequest_FORMAT_QUOTE_TEXT, wattlev1.RenderQuoteRequest_FORMAT_CANONICAL_JSON,
		wattlev1.RenderQuoteRequest_FORMAT_ORDER_LIST_PDF, wattlev1.RenderQuoteRequest_FORMAT_PRICE_LETTER_PDF:
		if c.Role == auth.Reader {
			return fault.New(fault.Denied, "ROLE_TOO_LOW", "this document shows costs, or prices of today, and a key with the role %s sees none; ask for a drawing, a sheet or the take-off", c.Role)
		}
	default:
	}
	return nil
}
