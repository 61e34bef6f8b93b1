from fitout.jobs.models import Customer
from fitout.kit.forms import ModelForm


class CustomerForm(ModelForm):
    class Meta:
        model = Customer
        fields = ["name", "contact", "email", "phone", "address", "tax_number", "notes"]
        labels = {
            "contact": "Contact person",
            "tax_number": "Tax number",
            "notes": "Notes for the workshop",
        }
