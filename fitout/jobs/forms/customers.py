from fitout.jobs.models import Customer
from fitout.kit.forms import TrackedForm


class CustomerForm(TrackedForm):
    scope, action = "customers", "customer"

    class Meta:
        model = Customer
        fields = ["name", "contact", "email", "phone", "address", "tax_number", "notes"]
        labels = {
            "contact": "Contact person",
            "tax_number": "Tax number",
            "notes": "Notes for the workshop",
        }

    def entry_label(self, *, adding: bool) -> str:
        return f"Customer {self.instance.name} {'added' if adding else 'changed'}"
