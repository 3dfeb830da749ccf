package auth

import "wattle/internal/fault"

// Permissions is the least role of every method, by its full name. A method
// without a row is refused to everybody, and fails a test.
var Permissions = map[string]Role{
	"/wattle.v1.LayoutService/PlanLayout":   Reader,
	"/wattle.v1.LayoutService/StreamLayout": Reader,
	"/wattle.v1.LayoutService/DrawLayout":   Reader,

	"/wattle.v1.TakeoffService/ComputeTakeoff": Reader,

	"/wattle.v1.AdviceService/CompareOptions": Estimator,
	"/wattle.v1.AdviceService/Advise":         Estimator,

	"/wattle.v1.CatalogService/ListFamilies":     Reader,
	"/wattle.v1.CatalogService/GetSpec":          Reader,
	"/wattle.v1.CatalogService/ListSpecs":        Reader,
	"/wattle.v1.CatalogService/ListSpecVersions": Reader,
	"/wattle.v1.CatalogService/SaveSpec":         Pricer,
	"/wattle.v1.CatalogService/WithdrawSpec":     Pricer,

	// A price here is what material costs.
	"/wattle.v1.PriceBookService/ResolvePrices":    Estimator,
	"/wattle.v1.PriceBookService/ListPriceHistory": Estimator,
	"/wattle.v1.PriceBookService/ImportPrices":     Pricer,
	"/wattle.v1.PriceBookService/VerifyHistory":    Pricer,
	"/wattle.v1.PriceBookService/StartImport":      Pricer,
	"/wattle.v1.PriceBookService/UploadImportPart": Pricer,
	"/wattle.v1.PriceBookService/CommitImport":     Pricer,

	// What lists do to quotes is told in costs.
	"/wattle.v1.ImpactService/GetPriceImpact":   Estimator,
	"/wattle.v1.ImpactService/ListPriceImpacts": Estimator,

	"/wattle.v1.CostService/TrackCostPerFoot": Estimator,
	"/wattle.v1.CostService/ComputeIndex":     Estimator,
	"/wattle.v1.CostService/ExplainChange":    Estimator,
	"/wattle.v1.CostService/AssessRisk":       Estimator,

	// A reader's lines are without their cost.
	"/wattle.v1.ExportService/ExportPrices":     Estimator,
	"/wattle.v1.ExportService/ExportPriceList":  Estimator,
	"/wattle.v1.ExportService/ExportQuoteLines": Reader,

	"/wattle.v1.QuoteService/GetQuote":      Reader,
	"/wattle.v1.QuoteService/ListQuotes":    Reader,
	"/wattle.v1.QuoteService/RenderQuote":   Reader,
	"/wattle.v1.QuoteService/CreateQuote":   Estimator,
	"/wattle.v1.QuoteService/ReplayQuote":   Estimator,
	"/wattle.v1.QuoteService/CompareQuotes": Estimator,
	"/wattle.v1.QuoteService/RepriceQuote":  Estimator,
	"/wattle.v1.QuoteService/IssueQuote":    Estimator,
	"/wattle.v1.QuoteService/ApproveQuote":  Pricer,
	"/wattle.v1.QuoteService/AcceptQuote":   Estimator,
	"/wattle.v1.QuoteService/DeclineQuote":  Estimator,
	"/wattle.v1.QuoteService/VoidQuote":     Estimator,
	"/wattle.v1.QuoteService/ReviseQuote":   Estimator,

	// What a job used and how long it took is no cost; what was paid is hidden.
	"/wattle.v1.ActualsService/GetActuals":       Reader,
	"/wattle.v1.ActualsService/ListActuals":      Reader,
	"/wattle.v1.ActualsService/CompareActuals":   Reader,
	"/wattle.v1.ActualsService/SummarizeActuals": Reader,
	"/wattle.v1.ActualsService/RecordActuals":    Estimator,

	"/wattle.v1.TemplateService/GetTemplate":   Reader,
	"/wattle.v1.TemplateService/ListTemplates": Reader,
	"/wattle.v1.TemplateService/SaveTemplate":  Pricer,

	// People's details are for who needs them to work.
	"/wattle.v1.CustomerService/GetCustomer":    Estimator,
	"/wattle.v1.CustomerService/ListCustomers":  Estimator,
	"/wattle.v1.CustomerService/CreateCustomer": Estimator,
	"/wattle.v1.CustomerService/UpdateCustomer": Estimator,
	"/wattle.v1.CustomerService/EraseCustomer":  Admin,

	"/wattle.v1.CustomerService/ListCustomerChanges": Admin,

	"/wattle.v1.EventService/WatchEvents": Reader,
	"/wattle.v1.EventService/ListEvents":  Reader,

	"/wattle.v1.WebhookService/CreateWebhook":           Admin,
	"/wattle.v1.WebhookService/GetWebhook":              Admin,
	"/wattle.v1.WebhookService/ListWebhooks":            Admin,
	"/wattle.v1.WebhookService/PauseWebhook":            Admin,
	"/wattle.v1.WebhookService/ResumeWebhook":           Admin,
	"/wattle.v1.WebhookService/DeleteWebhook":           Admin,
	"/wattle.v1.WebhookService/RotateWebhookSecret":     Admin,
	"/wattle.v1.WebhookService/PingWebhook":             Admin,
	"/wattle.v1.WebhookService/ListWebhookDeliveries":   Admin,
	"/wattle.v1.WebhookService/ReplayWebhookDeliveries": Admin,

	"/wattle.v1.OfficeService/CreateCompany": Operator,
	"/wattle.v1.OfficeService/ListCompanies": Operator,
	"/wattle.v1.OfficeService/GetCompany":    Reader,
	"/wattle.v1.OfficeService/UpdateCompany": Admin,
	"/wattle.v1.OfficeService/GetOffice":     Reader,
	"/wattle.v1.OfficeService/ListOffices":   Reader,
	"/wattle.v1.OfficeService/CreateOffice":  Admin,
	"/wattle.v1.OfficeService/UpdateOffice":  Admin,
	"/wattle.v1.OfficeService/RemoveOffice":  Admin,
	"/wattle.v1.OfficeService/CreateKey":     Admin,
	"/wattle.v1.OfficeService/ListKeys":      Admin,
	"/wattle.v1.OfficeService/RevokeKey":     Admin,
}

// Check is nil where the role may call the method, else Denied (ROLE).
func Check(role Role, method string) error {
	least, ok := Permissions[method]
	switch {
	case !ok:
		return fault.New(fault.Denied, "ROLE_TOO_LOW", "no key may call this method")
	case !role.May(least):
		return fault.New(fault.Denied, "ROLE_TOO_LOW", "this needs a key with the role %s, and yours has %s", least, role).
			With("roleNeeded", string(least)).With("role", string(role))
	default:
		return nil
	}
}
