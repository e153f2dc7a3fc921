"""What a job asks for in its months: questions, answers, vendors, promises, what is out, originals."""
